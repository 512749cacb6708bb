package session

import (
	"context"
	"maps"
	"slices"
	"sync"
	"sync/atomic"
	"time"

	"pintle/checker/engine/circuit"
	"pintle/checker/rule"
	"pintle/checker/run/files"
	"pintle/checker/run/settings"
	"pintle/lang/source"
	"pintle/lang/syntax"
	"pintle/lsp/ide"
)

// Config is what a Session is made of.
type Config struct {
	Catalogue *rule.Catalogue
	// Files is what lies below the open documents; nil: the disk.
	Files files.Files
	// Limits bound what is taken in; zero: those of a language server.
	Limits files.Limits
	// Today decides which acceptances have lapsed; nil: none.
	Today func() time.Time
}

// Session is the state of one editor. Documents are opened, changed and closed by one
// goroutine, in the order in which the editor speaks; all else may be done by any.
type Session struct {
	catalogue *rule.Catalogue
	today     func() time.Time
	disk      *disk
	// Counts reports how much work was done.
	Counts *Counts

	change  sync.Mutex // held while a snapshot is made
	current atomic.Pointer[Snapshot]
	changed chan struct{} // holds a token when there is a new snapshot

	reporting sync.Mutex
	upto      uint64        // the newest snapshot that all was reported of
	reported  chan struct{} // closed when there is a newer one

	mu       sync.Mutex
	kept     map[string]*kept
	strong   []*kept                       // used last first
	settled  map[string]*settings.Settings // last good ones by folder
	latest   map[string]*syntax.File       // last tree of each open document
	verdicts map[string]*verdict
	walked   map[string]walk
}

// Document is an open document. It never changes.
type Document struct {
	Name    string
	URI     string // as the editor writes it
	Version int32
	Src     *source.File

	content *content
	// TooLarge: the text is not held, since it is larger than what is read.
	TooLarge bool
}

// New makes a Session without documents or folders.
func New(c Config) *Session {
	if c.Files == nil {
		c.Files = files.Disk{}
	}
	if c.Limits == (files.Limits{}) {
		c.Limits = files.ServeLimits()
	}
	if c.Today == nil {
		c.Today = func() time.Time { return time.Time{} }
	}
	s := &Session{
		catalogue: c.Catalogue, today: c.Today, Counts: &Counts{Circuits: circuit.NewMemo()},
		changed: make(chan struct{}, 1), reported: make(chan struct{}),
		kept: map[string]*kept{}, settled: map[string]*settings.Settings{},
		latest: map[string]*syntax.File{}, verdicts: map[string]*verdict{}, walked: map[string]walk{},
	}
	s.disk = newDisk(c.Files, c.Limits, s.Counts.parsed)
	s.current.Store(&Snapshot{
		session: s, docs: map[string]*Document{}, prefs: ide.DefaultPreferences(),
		over: make(chan struct{}), snapshotMemo: newSnapshotMemo(),
	})
	return s
}

// Current returns the newest snapshot.
func (s *Session) Current() *Snapshot { return s.current.Load() }

// advance makes a new snapshot out of the current one. The old one is over: whoever
// checks it for the sake of being up to date may stop.
func (s *Session) advance(change func(next *Snapshot)) {
	s.change.Lock()
	defer s.change.Unlock()
	old := s.Current()
	next := &Snapshot{
		session: s, number: old.number + 1, docs: old.docs, folders: old.folders,
		prefs: old.prefs, scope: old.scope, allow: old.allow, last: old.last, over: make(chan struct{}),
		snapshotMemo: newSnapshotMemo(),
	}
	change(next)
	s.current.Store(next)
	close(old.over)
	select {
	case s.changed <- struct{}{}:
	default:
	}
}

// Open lays a text over the file of its name, or opens one that is in no file.
func (s *Session) Open(uri string, version int32, src *source.File) {
	s.disk.expire() // a new look at everything else, since nobody may be watching
	s.put(uri, version, src)
}

// Change replaces the text of an open document. It returns false, and changes nothing,
// where the document is not open or the version is not newer than the one that is.
func (s *Session) Change(name string, version int32, src *source.File) bool {
	old := s.Current().docs[name]
	if old == nil || version <= old.Version {
		return false
	}
	s.put(old.URI, version, src)
	return true
}

// Skip takes notice of a version whose text is not known, of a document that is too large.
func (s *Session) Skip(name string, version int32) {
	s.advance(func(next *Snapshot) {
		next.docs = maps.Clone(next.docs)
		d := *next.docs[name]
		d.Version = version
		next.docs[name] = &d
	})
}

// MostText is the most bytes of a document that are read.
func (s *Session) MostText() int { return s.disk.limits.Text }

// OpenTooLarge opens a document whose text, of so many bytes (0: not known, but too many), is
// neither read nor held.
func (s *Session) OpenTooLarge(uri, name string, version int32, bytes int) {
	s.disk.expire()
	s.advance(func(next *Snapshot) {
		next.docs = maps.Clone(next.docs)
		d := &Document{Name: name, URI: uri, Version: version, Src: source.NewFile(name, ""), TooLarge: true}
		d.content = newContent(d.Src, nil, s.Counts.parsed)
		d.content.tree = syntax.Refused(d.Src, "this document can't be read: "+(&files.SizeError{Size: int64(bytes), Most: s.MostText()}).Error(),
			"divide it into several files and bring them in with `use`, and open it again")
		next.docs[name] = d
		next.last = name
	})
}

func (s *Session) put(uri string, version int32, src *source.File) {
	if len(src.Text) > s.MostText() {
		s.OpenTooLarge(uri, src.Name, version, len(src.Text))
		return
	}
	s.advance(func(next *Snapshot) {
		next.docs = maps.Clone(next.docs)
		name := src.Name
		d := &Document{Name: name, URI: uri, Version: version, Src: src}
		if old := next.docs[name]; old != nil && !old.TooLarge && old.Src.Text == src.Text {
			d.Src, d.content = old.Src, old.content
		} else {
			d.content = newContent(src, func() *syntax.File { return s.lastTree(name) }, func(t *syntax.File) {
				s.Counts.parsed(t)
				s.setLastTree(name, t)
			})
		}
		next.docs[name] = d
		next.last = name
	})
}

func (s *Session) lastTree(name string) *syntax.File {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.latest[name]
}

func (s *Session) setLastTree(name string, t *syntax.File) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.Current().docs[name] != nil {
		s.latest[name] = t
	}
}

// Close takes a document off the file of its name. It returns false if it was not open.
func (s *Session) Close(name string) bool {
	if s.Current().docs[name] == nil {
		return false
	}
	s.disk.expire()
	s.advance(func(next *Snapshot) {
		next.docs = maps.Clone(next.docs)
		delete(next.docs, name)
		if next.last == name {
			next.last = ""
		}
	})
	s.mu.Lock()
	defer s.mu.Unlock()
	delete(s.latest, name)
	return true
}

// Read reports whether a file, or anything in a folder, was read from the disk or looked for
// there.
func (s *Session) Read(name string) bool { return s.disk.lookedAt(name) }

// Touched tells that files, or all that lies in folders, may have changed on disk: those
// named, or any. Whether files came or went is looked at anew.
func (s *Session) Touched(names ...string) {
	s.disk.expire(names...)
	s.mu.Lock()
	clear(s.walked)
	s.mu.Unlock()
	s.advance(func(*Snapshot) {})
}

// SetFolders sets the folders of the workspace, absolute and with slashes.
func (s *Session) SetFolders(folders []string) {
	clean := make([]string, 0, len(folders))
	for _, f := range folders {
		clean = append(clean, files.Clean(f))
	}
	s.mu.Lock()
	clear(s.walked)
	s.mu.Unlock()
	s.advance(func(next *Snapshot) { next.folders = clean })
}

// Allow sets the folders, absolute and with slashes, from which files may be used beside
// the workspace. Only the user may say so, never anything that lies in a folder.
func (s *Session) Allow(folders []string) {
	if slices.Equal(s.Current().allow, folders) {
		return
	}
	s.mu.Lock()
	clear(s.kept)
	s.strong = nil
	clear(s.verdicts)
	s.mu.Unlock()
	s.advance(func(next *Snapshot) { next.allow = folders })
}

// Scope says which files are checked for their own sake.
type Scope uint8

// The scopes.
const (
	WholeWorkspace Scope = iota
	OpenDocuments        // and what uses them
)

// Configure sets what the client's configuration says.
func (s *Session) Configure(prefs ide.Preferences, scope Scope) {
	if now := s.Current(); now.prefs == prefs && now.scope == scope {
		return
	}
	s.advance(func(next *Snapshot) { next.prefs, next.scope = prefs, scope })
}

// Changed returns a channel that holds a token when there is a new snapshot that nobody
// has taken notice of.
func (s *Session) Changed() <-chan struct{} { return s.changed }

// Settled waits until all in scope was checked and reported, of this snapshot or a newer
// one. Somebody must Run the session.
func (v *Snapshot) Settled(ctx context.Context) error {
	s := v.session
	for {
		s.reporting.Lock()
		upto, next := s.upto, s.reported
		s.reporting.Unlock()
		if upto >= v.number {
			return nil
		}
		select {
		case <-next:
		case <-ctx.Done():
			return ctx.Err()
		}
	}
}

func (s *Session) hasReported(number uint64) {
	s.reporting.Lock()
	defer s.reporting.Unlock()
	s.upto = number
	close(s.reported)
	s.reported = make(chan struct{})
}

// Context returns one that ends with ctx or when a newer snapshot is made.
func (v *Snapshot) Context(ctx context.Context) (context.Context, context.CancelFunc) {
	ctx, cancel := context.WithCancel(ctx)
	go func() {
		select {
		case <-v.over:
			cancel()
		case <-ctx.Done():
		}
	}()
	return ctx, cancel
}

// Over reports whether there is a newer snapshot.
func (v *Snapshot) Over() bool {
	select {
	case <-v.over:
		return true
	default:
		return false
	}
}

// Documents returns the open documents by name.
func (v *Snapshot) Documents() []*Document {
	return slices.SortedFunc(maps.Values(v.docs), func(a, b *Document) int { return cmpName(a.Name, b.Name) })
}
