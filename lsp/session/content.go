package session

import (
	"crypto/sha256"
	"fmt"
	"path"
	"runtime/debug"
	"slices"
	"strings"
	"sync"
	"weak"

	"pintle/checker/run/files"
	"pintle/lang/schema"
	"pintle/lang/source"
	"pintle/lang/syntax"
)

// digest stands for a text; texts with the same digest are the same.
type digest [sha256.Size]byte

// content is one text under one name with what it parses to. It is parsed when first
// asked for. The tree of a text on disk may be let go of and made again, but as long as
// anybody holds it everybody gets the same.
type content struct {
	digested func() digest
	parsed   func(*syntax.File) // told of each parse

	mu     sync.Mutex
	text   func() (*source.File, error)
	prev   func() *syntax.File // an earlier tree of the same name, or nil
	strong bool                // keep the tree
	tree   *syntax.File
	shadow weak.Pointer[syntax.File]

	uses    []string // names of the files that it uses
	usesSet bool
}

// newContent makes the content of a text that is at hand.
func newContent(src *source.File, prev func() *syntax.File, parsed func(*syntax.File)) *content {
	return &content{
		text:     func() (*source.File, error) { return src, nil },
		prev:     prev,
		parsed:   parsed,
		strong:   true,
		digested: sync.OnceValue(func() digest { return sha256.Sum256([]byte(src.Text)) }),
	}
}

// Tree parses the text, unless that was done.
func (c *content) Tree() (*syntax.File, error) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.tree != nil {
		return c.tree, nil
	}
	if t := c.shadow.Value(); t != nil {
		return t, nil
	}
	src, err := c.text()
	if err != nil {
		return nil, err
	}
	var prev *syntax.File
	if c.prev != nil {
		prev, c.prev = c.prev(), nil
	}
	t, err := parse(src, prev)
	if err != nil {
		c.text = func() (*source.File, error) { return nil, err } // it would only fail again
		return nil, err
	}
	c.shadow = weak.Make(t)
	if c.strong {
		c.tree = t
	}
	if !c.usesSet {
		c.uses, c.usesSet = usedBy(t), true
	}
	c.parsed(t)
	return t, nil
}

// parse parses a text. A fault of the parser costs that text and no other.
func parse(src *source.File, prev *syntax.File) (t *syntax.File, err error) {
	defer func() {
		if r := recover(); r != nil {
			err = &Fault{File: src.Name, What: fmt.Sprint(r), Stack: string(debug.Stack())}
		}
	}()
	return syntax.Parse(src, prev), nil
}

// Fault is the error of a text that Pintle itself fails on.
type Fault struct{ File, What, Stack string }

func (f *Fault) Error() string { return "internal fault while it was read: " + f.What }

// Uses returns the names of the files that the text uses.
func (c *content) Uses() ([]string, error) {
	c.mu.Lock()
	if c.usesSet {
		defer c.mu.Unlock()
		return c.uses, nil
	}
	c.mu.Unlock()
	if _, err := c.Tree(); err != nil {
		return nil, err
	}
	return c.uses, nil
}

// usedBy returns the names of the files that a file uses, as loading them would.
func usedBy(f *syntax.File) []string {
	var out []string
	for _, s := range f.Stmts {
		if s.Kind == nil || s.Kind.ID != schema.Use || s.Head() == nil || s.Head().Text == nil {
			continue
		}
		out = append(out, usedName(f.Src.Name, s.Head().Text.Text))
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// usedName is the name of a file that another one uses. A text that is in no file has no
// folder from which a path could begin; the name is then of no file either.
func usedName(from, used string) string {
	if files.IsAbs(used) {
		return files.Clean(used)
	}
	if !inFile(from) {
		return ""
	}
	return files.Join(files.Dir(from), used)
}

// inFile reports whether a name is that of a file rather than the URI of a text that the
// editor keeps elsewhere.
func inFile(name string) bool {
	scheme, _, ok := strings.Cut(name, ":")
	return path.IsAbs(name) || !ok || len(scheme) == 1 // a drive
}
