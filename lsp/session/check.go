package session

import (
	"context"
	"fmt"
	"maps"
	"runtime"
	"runtime/debug"
	"slices"
	"sync"

	"golang.org/x/sync/errgroup"

	"pintle/checker/run"
	"pintle/lang/diag"
	"pintle/lang/source"
)

// Report is what is to be shown of one file.
type Report struct {
	Snapshot *Snapshot
	Name     string
	Src      *source.File
	Document *Document // nil: not open
	Findings []diag.Finding
	// Complete: this is the full verdict, through all roots that the file is part of.
	Complete bool
}

// Listener takes what checking comes to. Its methods are called by one goroutine at a
// time.
type Listener interface {
	Report(Report)
	// Settled is called when all that is in scope was checked; reports are all files
	// with findings, and all that are open.
	Settled(v *Snapshot, reports []Report)
	// Failed tells of a fault of Pintle itself.
	Failed(run.Failure)
	// Progress reports how many of all roots are checked; all is 0 until it is known.
	Progress(v *Snapshot, done, all int)
}

// Run checks each new snapshot until the context ends: first, in one lane, the document
// that was changed last by the cheap rules, then, in another one, everything in full. An
// edit stops the checks of the snapshots before it.
func (s *Session) Run(ctx context.Context, to Listener) {
	c := &checking{session: s, to: to, full: make(chan *Snapshot, 1)}
	var lanes sync.WaitGroup
	defer lanes.Wait()
	lanes.Go(func() {
		for {
			select {
			case <-ctx.Done():
				return
			case v := <-c.full:
				if !c.guard("", func() { c.all(ctx, v) }) {
					s.hasReported(v.number) // nothing more will come of it
				}
			}
		}
	})
	for {
		select {
		case <-ctx.Done():
			return
		case <-s.changed:
			v := s.Current()
			c.guard(v.last, func() { c.first(ctx, v) })
			select {
			case <-c.full: // never begun
			default:
			}
			c.full <- v
		}
	}
}

// checking is the work of Run.
type checking struct {
	session *Session
	full    chan *Snapshot // for the second lane; holds the newest

	mu sync.Mutex // for the listener
	to Listener
}

// report hands a report on unless there is a newer text.
func (c *checking) report(r Report) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if !r.Snapshot.Over() {
		c.to.Report(r)
	}
}

// guard does one piece of work. A fault of Pintle itself in it is reported, and costs no
// other. It returns false then.
func (c *checking) guard(file string, work func()) (ok bool) {
	defer func() {
		if r := recover(); r != nil {
			c.mu.Lock()
			defer c.mu.Unlock()
			c.to.Failed(run.Failure{
				File: file, What: fmt.Sprintf("internal fault while it was checked: %v", r), Stack: string(debug.Stack()),
			})
		}
	}()
	work()
	return true
}

func (c *checking) progress(v *Snapshot, done, all int) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if !v.Over() {
		c.to.Progress(v, done, all)
	}
}

func (c *checking) failed(v *Snapshot, f run.Failure) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if !v.Over() {
		c.to.Failed(f)
	}
}

// first looks at the document that was changed last with the cheap rules. What is known
// from before of the dearer ones is shown until they have spoken again, so that it does
// not flicker with every key.
func (c *checking) first(ctx context.Context, v *Snapshot) {
	doc := v.docs[v.last]
	if doc == nil {
		return
	}
	ctx, cancel := v.Context(ctx)
	defer cancel()
	r, err := v.Root(ctx, doc.Name)
	if r == nil || err != nil || r.Known() != nil {
		return
	}
	res, err := r.Quick(ctx)
	if err != nil {
		c.session.Counts.Abandoned.Add(1)
		return
	}
	c.report(v.report(doc.Name, run.Merge(res.Findings, v.earlier(doc.Name))))
}

// all checks everything in scope in full: first what is open, beginning with what was
// changed last, then what uses that, then the rest.
func (c *checking) all(ctx context.Context, v *Snapshot) {
	ctx, cancel := v.Context(ctx)
	defer cancel()
	defer func() {
		if ctx.Err() != nil {
			c.session.Counts.Abandoned.Add(1)
		}
	}()
	c.progress(v, 0, 0) // to find out who uses what takes its time too
	urgent, rest, err := v.inScope(ctx)
	if err != nil {
		return
	}
	known := map[string]*run.FileResult{}
	var mu sync.Mutex
	done, all, found := 0, len(urgent)+len(rest), 0
	most := c.session.disk.limits.AllFindings
	c.progress(v, done, all)
	check := func(name string) error {
		var res *run.FileResult
		var err error
		c.guard(name, func() { res, err = v.Verdict(ctx, name) })
		if err != nil {
			return err
		}
		mu.Lock()
		if res != nil {
			known[name] = res
			found += len(res.Findings)
		}
		done++
		n := done
		mu.Unlock()
		c.progress(v, n, all)
		return nil
	}
	for _, name := range urgent {
		if check(name) != nil {
			return
		}
		if name == v.last && known[name] != nil {
			c.changed(ctx, v, known[name])
		}
	}
	g, inner := errgroup.WithContext(ctx)
	g.SetLimit(max(1, runtime.GOMAXPROCS(0)))
	for _, name := range rest {
		mu.Lock()
		enough := found > most
		mu.Unlock()
		if inner.Err() != nil || enough {
			break
		}
		g.Go(func() error {
			defer c.session.release(name)
			return check(name)
		})
	}
	if g.Wait() != nil || ctx.Err() != nil {
		return
	}
	if found > most && done < all {
		c.failed(v, run.Failure{File: "the workspace", What: fmt.Sprintf(
			"%d files that are not open were not checked: there are more than %d findings in the others", all-done, most)})
	}
	c.settle(v, known)
}

// changed reports the document that was changed last when its own verdict is there: in
// full if nothing uses it, else with what its users said before.
func (c *checking) changed(ctx context.Context, v *Snapshot, own *run.FileResult) {
	users, err := v.users(ctx, v.last)
	if err != nil {
		return
	}
	fs := own.Findings
	complete := true
	for _, u := range users {
		if res := v.verdict(u); res != nil {
			fs = run.Merge(fs, res.Findings)
		} else {
			complete = false
		}
	}
	if !complete {
		fs = run.Merge(fs, v.earlier(v.last))
	}
	r := v.report(v.last, fs)
	r.Complete = complete
	c.report(r)
}

// settle reports everything, and lets go of what was known of files that are out of
// scope now.
func (c *checking) settle(v *Snapshot, known map[string]*run.FileResult) {
	reports := v.group(known)
	s := c.session
	s.mu.Lock()
	for n := range s.verdicts {
		if known[n] == nil {
			delete(s.verdicts, n)
		}
	}
	for n, k := range s.kept {
		if known[n] == nil {
			s.forget(k)
			delete(s.kept, n)
		}
	}
	s.mu.Unlock()
	c.mu.Lock()
	defer c.mu.Unlock()
	if v.Over() {
		return
	}
	for _, n := range slices.Sorted(maps.Keys(known)) {
		for _, f := range known[n].Failures {
			c.to.Failed(f)
		}
	}
	c.to.Settled(v, reports)
	s.hasReported(v.number)
}
