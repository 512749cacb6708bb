package ide

import (
	"context"
	"sync"
	"time"

	"pintle/checker/engine/circuit"
	"pintle/checker/rule"
	"pintle/checker/run"
	"pintle/checker/run/settings"
	"pintle/lang/elaborate"
	"pintle/lang/model"
	"pintle/lang/syntax"
)

// Root is a file as the root of a design, together with everything that was worked out
// about it. Nothing is worked out before it is asked for; what was is kept for as long
// as neither the file, nor a file that it uses, nor the settings change. It may be asked
// by many goroutines at once.
type Root struct {
	// Tree is the root file itself.
	Tree *syntax.File
	// Settings are those that hold for its folder.
	Settings  *settings.Settings
	Catalogue *rule.Catalogue
	// Today decides which acceptances have lapsed; zero: none.
	Today time.Time
	// Memo is what the circuits of all roots share; nil: one for each check.
	Memo *circuit.Memo
	// Most bounds the findings of one rule in one file; 0: as many as there are.
	Most int

	Loader elaborate.Loader
	count  Counter
	onRead func()

	read  memo[*elaborate.Result]
	quick memo[*run.FileResult]
	full  memo[*run.FileResult]

	asking turn
	passes map[*model.Design]*rule.Pass

	mu      sync.Mutex
	checked map[*model.Design]*rule.Pass // left behind by the full check, not asked yet
}

// Counter is told of work that was really done, not taken from what was kept. The
// methods may be called by many goroutines at once.
type Counter interface {
	Elaborated(root string)
	Checked(root string, upto rule.Need)
}

type noCounter struct{}

func (noCounter) Elaborated(string)         {}
func (noCounter) Checked(string, rule.Need) {}

// RootConfig is what a Root is made of. The tree and the catalogue must be there.
type RootConfig struct {
	Tree      *syntax.File
	Settings  *settings.Settings
	Catalogue *rule.Catalogue
	Loader    elaborate.Loader
	Today     time.Time
	Memo      *circuit.Memo
	Count     Counter
	// Most bounds the findings of one rule in one file; 0: as many as there are.
	Most int
	// OnRead, if set, is called when the root was read in full; the loader is not asked
	// again.
	OnRead func()
	// Known is the full verdict if it was worked out before.
	Known *run.FileResult
}

// NewRoot makes a Root of which nothing is known yet.
func NewRoot(c RootConfig) *Root {
	if c.Count == nil {
		c.Count = noCounter{}
	}
	if c.Settings == nil {
		c.Settings = settings.Default()
	}
	if c.OnRead == nil {
		c.OnRead = func() {}
	}
	r := &Root{
		Tree: c.Tree, Settings: c.Settings, Catalogue: c.Catalogue, Today: c.Today, Memo: c.Memo, Most: c.Most,
		Loader: c.Loader, count: c.Count, onRead: c.OnRead,
		read: newMemo[*elaborate.Result](), quick: newMemo[*run.FileResult](), full: newMemo[*run.FileResult](),
		asking: newTurn(), passes: map[*model.Design]*rule.Pass{}, checked: map[*model.Design]*rule.Pass{},
	}
	if c.Known != nil {
		r.full.done.Store(&c.Known)
	}
	return r
}

// Name of the root file.
func (r *Root) Name() string { return r.Tree.Src.Name }

// Read returns what the file elaborates to: its designs, the index of names, the trees
// of all files that it uses. The error is that of the context, and nothing else.
func (r *Root) Read(ctx context.Context) (*elaborate.Result, error) {
	return r.read.get(ctx, func(ctx context.Context) (*elaborate.Result, error) {
		res := elaborate.Elaborate(ctx, r.Tree, r.Loader)
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		r.onRead()
		r.count.Elaborated(r.Name())
		return res, nil
	})
}

// Quick returns the findings that are cheap to come by: those of reading, with every name
// that leads nowhere, and what shows in the flat design. They are all among the findings
// of Check, but for acceptances, which are not judged here.
func (r *Root) Quick(ctx context.Context) (*run.FileResult, error) {
	if v, ok := r.full.known(); ok {
		return v, nil
	}
	return r.quick.get(ctx, func(ctx context.Context) (*run.FileResult, error) {
		return r.check(ctx, rule.Design, nil, r.quickRules()...)
	})
}

// Check returns the full verdict, the same as the command line gives.
func (r *Root) Check(ctx context.Context) (*run.FileResult, error) {
	return r.full.get(ctx, func(ctx context.Context) (*run.FileResult, error) {
		return r.check(ctx, 0, r.keep)
	})
}

// Known returns the full verdict if it was worked out already, or nil.
func (r *Root) Known() *run.FileResult {
	v, _ := r.full.known()
	return v
}

// IsQuick reports whether the findings of a rule are among those of Quick.
func IsQuick(r rule.Rule) bool { return r.Needs == rule.Reading || r.Needs == rule.Design }

// quickRules are those that look at the flat design. The rules that look at all uses of
// all names are left out: they need the index in order, which costs as much as reading.
func (r *Root) quickRules() []string {
	var out []string
	for _, q := range r.Catalogue.Rules() {
		// To name a quiet rule is to ask for it, which is what the settings are for.
		if q.Run != nil && IsQuick(q) && (!q.Quiet || r.Settings.Names(q.Name)) {
			out = append(out, q.Name)
		}
	}
	return out
}

func (r *Root) keep(p *rule.Pass) {
	r.mu.Lock()
	defer r.mu.Unlock()
	r.checked[p.Design] = p
}

// take gives the pass that the check left behind, or a new one.
func (r *Root) take(read *elaborate.Result, d *model.Design) *rule.Pass {
	r.mu.Lock()
	defer r.mu.Unlock()
	if p := r.checked[d]; p != nil {
		delete(r.checked, d)
		return p
	}
	return &rule.Pass{Root: r.Tree, Read: read, Design: d, Limits: r.Settings.Limits, Memo: r.Memo}
}

func (r *Root) check(ctx context.Context, upto rule.Need, keep func(*rule.Pass), only ...string) (*run.FileResult, error) {
	read, err := r.Read(ctx)
	if err != nil {
		return nil, err
	}
	res := run.File(ctx, run.FileRequest{
		Plan: run.Plan{Catalogue: r.Catalogue, Today: r.Today, Only: only, Memo: r.Memo},
		Root: r.Tree, Settings: r.Settings, Read: read, Upto: upto, Keep: keep, Most: r.Most,
	})
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	r.count.Checked(r.Name(), upto)
	return res, nil
}

// Ask puts a question to the engines of one design of the root: the function sees a
// pass as a rule does, with circuits, fluids, states and drives that are worked out when
// it asks for them and kept for the next question. The error is that of the context, or
// tells why an engine could not answer; what the function had done by then stands.
// Questions about one root are answered one after the other. What the function reports
// goes nowhere.
func (r *Root) Ask(ctx context.Context, d *model.Design, question func(*rule.Pass)) error {
	read, err := r.Read(ctx)
	if err != nil {
		return err
	}
	if err := r.asking.take(ctx); err != nil {
		return err
	}
	defer r.asking.leave()
	p := r.passes[d]
	if p == nil {
		p = r.take(read, d)
	}
	// An engine that was interrupted, by the context or by a fault, is not to be asked again.
	delete(r.passes, d)
	p.Ctx = ctx
	stopped := p.Ask(question)
	if err := ctx.Err(); err != nil {
		return err
	}
	r.passes[d] = p
	return stopped
}
