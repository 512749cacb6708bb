package main

import (
	"fmt"
	"io"
	"os"
	"sync"
	"time"

	"github.com/mattn/go-isatty"
	"github.com/spf13/cobra"

	"pintle/checker/rules"
)

func isTerminal(w io.Writer) bool {
	f, ok := w.(*os.File)
	return ok && isatty.IsTerminal(f.Fd())
}

// colourful reports whether colours may be drawn: on a terminal that takes them, unless
// NO_COLOR is set to anything (no-color.org).
func colourful(w io.Writer) bool { return os.Getenv("NO_COLOR") == "" && steerable(w) }

// steerable reports whether a stream is a terminal that takes the sequences of ECMA-48.
func steerable(w io.Writer) bool {
	f, ok := w.(*os.File)
	return ok && os.Getenv("TERM") != "dumb" && isTerminal(w) && understands(f)
}

// wantsStack reports whether an internal fault is to be shown with its stack.
func wantsStack() bool { return os.Getenv("PINTLE_STACK") != "" }

// patience is how long a verb works in silence, and a server before an editor is shown its
// progress.
const patience = time.Second

// progress tells on a terminal how far a verb has come.
type progress struct {
	w      io.Writer // nil: nobody looks
	format string
	began  time.Time

	mu        sync.Mutex
	shown     time.Time
	did, much int
	now       string // what is being done
}

// newProgress makes a progress line; format takes what is done and how much there is.
func newProgress(w io.Writer, format string) *progress {
	if !steerable(w) {
		w = nil
	}
	return &progress{w: w, format: format, began: time.Now()}
}

const eraseLine = "\r\x1b[K"

func (p *progress) step(done, all int) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.did, p.much = done, all
	p.show()
}

// doing tells what is done next, and how much there is of the whole.
func (p *progress) doing(what string, all int) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.now, p.much = ", "+what, all
	p.show()
}

func (p *progress) show() {
	now := time.Now()
	if p.w == nil || now.Sub(p.began) < patience || now.Sub(p.shown) < patience/10 {
		return
	}
	p.shown = now
	fmt.Fprintf(p.w, eraseLine+p.format+"%s", p.did, p.much, p.now)
}

// done takes the progress line away.
func (p *progress) done() {
	p.mu.Lock()
	defer p.mu.Unlock()
	if !p.shown.IsZero() {
		fmt.Fprint(p.w, eraseLine)
	}
}

type completion = func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective)

// complete says how the value of a flag is completed. It can only fail for a flag that
// does not exist.
func complete(c *cobra.Command, flag string, f completion) {
	if err := c.RegisterFlagCompletionFunc(flag, f); err != nil {
		panic(err)
	}
}

// ruleNames completes the names of rules, each with what it finds.
func ruleNames(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
	c, err := rules.All()
	if err != nil {
		return nil, cobra.ShellCompDirectiveError
	}
	var out []string
	for _, r := range c.Rules() {
		out = append(out, cobra.CompletionWithDesc(r.Name, r.Summary))
	}
	return out, cobra.ShellCompDirectiveNoFileComp
}
