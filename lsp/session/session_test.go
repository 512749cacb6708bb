package session_test

import (
	"context"
	"strings"
	"sync"
	"testing"
	"testing/fstest"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"go.uber.org/goleak"

	"pintle/checker/rules"
	"pintle/checker/run"
	"pintle/lang/source"
	"pintle/lsp/ide"
	"pintle/lsp/session"
)

func TestMain(m *testing.M) { goleak.VerifyTestMain(m) }

const library = `part Fuse {
    takes rating: A
    pin in, out
    fuse element: in to out, rating
}
`

func design(uses string) string {
	return uses + `ground block
supply battery: 12 V, from block to stud
fit F1: { pin a, b }
`
}

// heard is a listener that remembers.
type heard struct {
	mu       sync.Mutex
	reports  []session.Report
	settled  []session.Report
	failures []run.Failure
}

func (h *heard) Report(r session.Report) {
	h.mu.Lock()
	defer h.mu.Unlock()
	h.reports = append(h.reports, r)
}

func (h *heard) Settled(_ *session.Snapshot, rs []session.Report) {
	h.mu.Lock()
	defer h.mu.Unlock()
	h.settled = rs
}

func (h *heard) Failed(f run.Failure) {
	h.mu.Lock()
	defer h.mu.Unlock()
	h.failures = append(h.failures, f)
}

func (*heard) Progress(*session.Snapshot, int, int) {}

func rulesIn(rs []session.Report, name string) []string {
	var out []string
	for _, r := range rs {
		if r.Name == name {
			for _, f := range r.Findings {
				out = append(out, f.Rule)
			}
		}
	}
	return out
}

// start runs a session over files that have absolute names.
func start(t *testing.T, files fstest.MapFS) (*session.Session, *heard) {
	t.Helper()
	catalogue, _ := rules.All()
	s := session.New(session.Config{Catalogue: catalogue, Files: rooted{files}})
	h := &heard{}
	ctx, stop := context.WithCancel(t.Context())
	var lanes sync.WaitGroup
	lanes.Go(func() { s.Run(ctx, h) })
	t.Cleanup(func() { stop(); lanes.Wait() })
	return s, h
}

func settle(t *testing.T, s *session.Session) {
	t.Helper()
	require.NoError(t, s.Current().Settled(t.Context()))
}

// TestReuse counts what each edit costs: what does not depend on the text that changed
// is not looked at again.
func TestReuse(t *testing.T) {
	files := fstest.MapFS{
		"w/parts.pintle": file(library),
		"w/a.pintle":     file(design("use \"parts.pintle\"\n")),
		"w/b.pintle":     file(design("use \"parts.pintle\"\n")),
		"w/c.pintle":     file(design("")),
	}
	s, _ := start(t, files)
	s.SetFolders([]string{"/w"})
	settle(t, s)
	assert.EqualValues(t, 4, s.Counts.Full.Load(), "each file is looked at once")

	type work struct{ texts, statements, full int64 }
	var was work
	cost := func(do func()) work {
		was = work{s.Counts.Texts.Load(), s.Counts.Statements.Load(), s.Counts.Full.Load()}
		do()
		settle(t, s)
		return work{s.Counts.Texts.Load() - was.texts, s.Counts.Statements.Load() - was.statements, s.Counts.Full.Load() - was.full}
	}
	edit := func(name string, version int32, text string) func() {
		return func() { require.True(t, s.Change(name, version, source.NewFile(name, text))) }
	}
	open := cost(func() { s.Open("file:///w/parts.pintle", 1, source.NewFile("/w/parts.pintle", library)) })
	assert.Zero(t, open.full, "the text in the editor is that on disk")

	got := cost(edit("/w/parts.pintle", 2, strings.Replace(library, "rating: A", "rating: A, 5 A unless said", 1)))
	assert.Equal(t, work{texts: 1, statements: 1, full: 3}, got, "an edit of the parts: they, and the two that use them")

	s.Open("file:///w/c.pintle", 1, source.NewFile("/w/c.pintle", design("")))
	settle(t, s)
	got = cost(edit("/w/c.pintle", 2, design("# a comment\n")))
	assert.EqualValues(t, 1, got.full, "an edit of a design: it alone")
	assert.Zero(t, got.statements, "a comment is no statement")

	got = cost(edit("/w/c.pintle", 3, design("# a comment\n")))
	assert.Equal(t, work{}, got, "an edit that changes nothing")

	got = cost(func() { s.Touched() })
	assert.Equal(t, work{}, got, "a look at the disk, where nothing changed")

	files["w/b.pintle"] = file(design(""))
	got = cost(func() { s.Touched("/w/b.pintle") })
	assert.EqualValues(t, 1, got.full, "a file on disk: it alone")
}

// TestCircuitsAreRemembered counts what is solved again after an edit in a design of two
// batteries: nothing where nothing electrical changed, else the circuit that it changed in.
func TestCircuitsAreRemembered(t *testing.T) {
	text := func(what, first, second string) string {
		out := what + "ground block\nquantity speed: 0 to 7000 rpm\n"
		for i, length := range []string{first, second} {
			out += strings.NewReplacer("#", string(rune('1'+i)), "LENGTH", length).Replace(`setting knob#: off, on
node minus#
supply battery#: 12.6 V, from minus# to stud#, inside 8 mohm
node x#, y#
fuse F#: battery#.stud# to x#, 10 A
contact S#: x# to y#, make, made when knob# is on
load lamp#: y# to z#, 21 W at 12 V, lit from 60 %
node z#
wire W#: z# to minus#, brown, 1 mm2, LENGTH
require r#: lamp# is lit whenever knob# is on
`)
		}
		return out
	}
	s, _ := start(t, nil)
	s.Open("file:///x.pintle", 1, source.NewFile("/x.pintle", text("", "1 m", "3 m")))
	settle(t, s)
	_, all := s.Counts.Circuits.Counts()
	require.Positive(t, all)
	decided := func(version int32, text string) uint64 {
		_, was := s.Counts.Circuits.Counts()
		full := s.Counts.Full.Load()
		s.Change("/x.pintle", version, source.NewFile("/x.pintle", text))
		settle(t, s)
		require.Equal(t, full+1, s.Counts.Full.Load())
		_, now := s.Counts.Circuits.Counts()
		return now - was
	}
	assert.Zero(t, decided(2, text("bands b: over speed {\n  band low: 0 to 2000 rpm\n  band high: 2000 to 7000 rpm\n}\n", "1 m", "3 m")))
	one := decided(3, text("", "2 m", "3 m"))
	assert.Positive(t, one, "what changed is decided")
	assert.LessOrEqual(t, one, all/2, "what did not is not")
	assert.Zero(t, decided(4, text("", "3 m", "2 m")), "the circuits have changed places")
}

// TestStages: the first report on an edit comes without the circuits, and with what they
// had to say before, moved along.
func TestStages(t *testing.T) {
	const text = `ground block
supply battery: 12.6 V, from block to stud, inside 8 mohm
wire W1: battery.stud to block, red, 4 mm2, 1 m
`
	s, h := start(t, nil)
	s.Open("file:///x.pintle", 1, source.NewFile("/x.pintle", text))
	settle(t, s)
	h.mu.Lock()
	first, last := h.reports[0], h.settled
	h.reports = nil
	h.mu.Unlock()
	assert.False(t, first.Complete)
	assert.NotContains(t, rulesIn([]session.Report{first}, "/x.pintle"), "supply-to-ground-short")
	assert.Contains(t, rulesIn(last, "/x.pintle"), "supply-to-ground-short")

	s.Change("/x.pintle", 2, source.NewFile("/x.pintle", "bands\n"+text))
	settle(t, s)
	h.mu.Lock()
	defer h.mu.Unlock()
	require.NotEmpty(t, h.reports)
	first = h.reports[0]
	assert.False(t, first.Complete)
	found := false
	for _, f := range first.Findings {
		if f.Rule == "supply-to-ground-short" {
			found = true
			assert.Equal(t, "W1", first.Src.Text[f.Start:f.End], "it moved with the text")
		}
	}
	assert.True(t, found, "what was known stays until it is known anew")
	assert.Contains(t, rulesIn([]session.Report{first}, "/x.pintle"), "syntax", "and what is new is there at once")
}

// TestView: a parts file is best understood in the design that uses it; the roots of a
// view share their trees.
func TestView(t *testing.T) {
	s, _ := start(t, fstest.MapFS{
		"w/parts.pintle": file(library), "w/a.pintle": file(design("use \"parts.pintle\"\n")),
		"w/z.pintle": file("use \"a.pintle\"\n"), "w/pintle.toml": file(""),
	})
	s.SetFolders([]string{"/w"})
	v := s.Current()
	view, err := v.View(t.Context(), "/w/parts.pintle")
	require.NoError(t, err)
	names := func(rs []*ide.Root) (out []string) {
		for _, r := range rs {
			out = append(out, r.Name())
		}
		return out
	}
	assert.Equal(t, []string{"/w/parts.pintle", "/w/a.pintle", "/w/z.pintle"}, names(view.Roots))
	assert.Equal(t, "/w/a.pintle", view.Root.Name())
	read, err := view.Read(t.Context())
	require.NoError(t, err)
	require.Len(t, read.Files, 2)
	assert.Same(t, view.Tree, read.Files[1], "one tree, whichever root uses it")
	again, err := v.View(t.Context(), "/w/a.pintle")
	require.NoError(t, err)
	assert.Same(t, view.Root, again.Root)
	for _, name := range []string{"/w/pintle.toml", "/w/none.pintle"} {
		view, err = v.View(t.Context(), name)
		require.NoError(t, err)
		assert.Nil(t, view, name)
	}
	all, err := v.Names(t.Context())
	require.NoError(t, err)
	assert.Equal(t, []string{"/w/a.pintle", "/w/parts.pintle", "/w/z.pintle"}, all)
}

// TestOldSnapshot: a snapshot answers of its own texts, whatever came after it.
func TestOldSnapshot(t *testing.T) {
	s, _ := start(t, nil)
	s.Open("file:///x.pintle", 1, source.NewFile("/x.pintle", design("")))
	old := s.Current()
	settle(t, s)
	s.Change("/x.pintle", 2, source.NewFile("/x.pintle", "nonsense\n"))
	settle(t, s)
	before, _, err := old.Findings(t.Context(), "/x.pintle")
	require.NoError(t, err)
	now, _, err := s.Current().Findings(t.Context(), "/x.pintle")
	require.NoError(t, err)
	assert.NotEqual(t, before, now)
	for _, f := range before {
		assert.Equal(t, design(""), f.File.Text)
	}
	s.Close("/x.pintle")
	_, ok, err := s.Current().Findings(t.Context(), "/x.pintle")
	require.NoError(t, err)
	assert.False(t, ok)
}

// TestCancelled: a question whose context is over is not answered, and spoils nothing.
func TestCancelled(t *testing.T) {
	s, _ := start(t, nil)
	s.Open("file:///x.pintle", 1, source.NewFile("/x.pintle", design("")))
	over, cancel := context.WithCancel(t.Context())
	cancel()
	_, _, err := s.Current().Findings(over, "/x.pintle")
	require.ErrorIs(t, err, context.Canceled)
	_, err = s.Current().View(over, "/x.pintle")
	require.ErrorIs(t, err, context.Canceled)
	_, ok, err := s.Current().Findings(t.Context(), "/x.pintle")
	require.NoError(t, err)
	assert.True(t, ok)
}

var written = time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC)

// file is a file whose time tells its text from others of the same size.
func file(text string) *fstest.MapFile {
	written = written.Add(time.Second)
	return &fstest.MapFile{Data: []byte(text), ModTime: written}
}
