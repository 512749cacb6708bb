package fault

import (
	"context"
	"fmt"
	"runtime"
	"slices"
	"sync"

	"golang.org/x/sync/errgroup"

	"pintle/checker/engine/circuit"
	"pintle/checker/engine/system"
	"pintle/lang/diag"
	"pintle/lang/model"
)

// Options bound the work.
type Options struct {
	// MaxNodes and MaxZones are those of system.Options.
	MaxNodes, MaxZones int
	// Memo is that of system.Options too.
	Memo *circuit.Memo
	// Steps are those of circuit.Circuit.Limit; 0: circuit.DefaultSteps. With everything at its
	// nominal value each fault gets a share of them.
	Steps int
	// MaxFaults bounds the groups of faults that are tried; 0: no bound.
	MaxFaults int
	// Brief leaves the changes out of a table.
	Brief bool
	// MaxPairs bounds the pairs of faults that are tried for one requirement; 0: DefaultPairs.
	MaxPairs int
}

// Outcome of a question about all faults.
type Outcome uint8

// The outcomes.
const (
	Unknown   Outcome = iota // something could not be read
	Undecided                // Why says what stood in the way
	Holds                    // whatever fails, beyond Result.Beyond
	Fails                    // Result.Failures says with what
)

func (o Outcome) String() string {
	return [...]string{Unknown: "unknown", Undecided: "undecided", Holds: "holds", Fails: "fails"}[o]
}

// Failure is a group of faults with which a requirement does not hold.
type Failure struct {
	// Faults have the same effect.
	Faults []Fault
	// Moves lead to the violation; nil where there is nothing to show.
	Moves []diag.Line
	// Length is the number of moves of the trace.
	Length int
	// Corner says within what tolerances it is violated, "" for nominal values.
	Corner string
	// Verdict is the answer of the system with the first of the faults, System that system.
	Verdict system.Verdict
	System  *System
}

// Result is the answer of a requirement despite any one fault.
type Result struct {
	Outcome Outcome
	Why     string
	// Failures in the order of the faults. Where some violate the requirement at nominal
	// values, those that do so only within tolerances are not looked for.
	Failures []Failure
	// Unprotected are the faults that short a supply in some state with no fuse that opens. The
	// answer is with the current flowing on, as in a drive.
	Unprotected []Fault
	// Beyond are the faults that short a supply without a fuse that surely opens; those states
	// are left out.
	Beyond []Fault
	// Tried counts the faults that were looked at, Groups how many of them differ in their
	// effect, Cone how many of these can have a say at all.
	Tried, Groups, Cone int
	// Excepted are the faults that the requirement leaves out.
	Excepted []Fault
	// Pairs counts the pairs of faults that were tried, AllPairs those that can have a say and
	// differ in their effect; of a requirement despite any two faults.
	Pairs, AllPairs int
}

// Sweep tries the faults of one design.
type Sweep struct {
	d      *model.Design
	opts   Options
	faults []Fault
	groups [][]int

	once       sync.Once
	protection *protection
	failed     error
}

// inject injects a fault into the design, or into one that differs from it in nothing that is
// electrical.
func (s *Sweep) inject(ctx context.Context, d *model.Design, f *Fault, always bool) (*Faulted, error) {
	p, err := s.protected(ctx)
	if err != nil {
		return nil, err
	}
	return inject(ctx, d, p, f, always)
}

// protected is what is known of the fuses of the sound design.
func (s *Sweep) protected(ctx context.Context) (*protection, error) {
	s.once.Do(func() { s.protection, s.failed = protectionOf(ctx, s.d, s.opts.Memo) })
	return s.protection, s.failed
}

// NewSweep lists the faults of a design.
func NewSweep(d *model.Design, opts Options) *Sweep {
	s := &Sweep{d: d, opts: opts, faults: Generate(d)}
	s.groups = Groups(d, s.faults)
	return s
}

// Faults are those that are tried.
func (s *Sweep) Faults() []Fault { return s.faults }

// tooMany says that a bound was met.
func (s *Sweep) tooMany() string {
	if s.opts.MaxFaults > 0 && len(s.groups) > s.opts.MaxFaults {
		return fmt.Sprintf("%d single faults have different effects, more than the %d that are tried", len(s.groups), s.opts.MaxFaults)
	}
	return ""
}

// anyOne answers requirements despite any one fault, but those that they except.
//
// First every fault is tried with everything at its nominal value, which is cheap, then
// those requirements that got through within all tolerances.
func (s *Sweep) anyOne(ctx context.Context, requirements []int) ([]Result, error) {
	out := make([]Result, len(requirements))
	answers := make([][]answer, len(requirements)) // by group
	for k := range out {
		out[k].Tried, out[k].Groups = len(s.faults), len(s.groups)
		answers[k] = make([]answer, len(s.groups))
		s.except(&out[k], answers[k], s.d.Requirements[requirements[k]].With.But)
	}
	if why := s.tooMany(); why != "" {
		for k := range out {
			out[k].Outcome, out[k].Why = Undecided, why
		}
		return out, nil
	}
	var open []int
	for k := range requirements {
		open = append(open, k)
	}
	for _, nominal := range [...]bool{true, false} {
		if err := s.pass(ctx, requirements, open, nominal, answers); err != nil {
			return nil, err
		}
		open = slices.DeleteFunc(open, func(k int) bool {
			return slices.ContainsFunc(answers[k], func(a answer) bool { return a.verdict.Outcome == system.Fails })
		})
	}
	for k := range out {
		s.conclude(&out[k], answers[k])
	}
	return out, nil
}

// answer is what a requirement comes to with one group of faults.
type answer struct {
	verdict system.Verdict
	beyond  bool
	bare    bool // the current of a short flows on
	outside bool // of the cone
	why     string
	moves   []diag.Line
	system  *System
}

// failure is an answer with which a requirement fails, with some faults.
func (a *answer) failure(faults []Fault) Failure {
	f := Failure{Faults: faults, Moves: a.moves, Corner: a.verdict.Corner, Verdict: a.verdict, System: a.system}
	if a.verdict.Trace != nil {
		f.Length = len(a.verdict.Trace.Steps)
	}
	return f
}

// pass tries all faults on some requirements.
func (s *Sweep) pass(ctx context.Context, requirements, open []int, nominal bool, answers [][]answer) error {
	if len(open) == 0 {
		return nil
	}
	cones := make([]*Cone, len(requirements))
	for _, k := range open {
		r := &s.d.Requirements[requirements[k]]
		cones[k] = ConeOf(s.d, []*model.Cond{r.A, r.B}, ends(r)...)
	}
	return s.each(ctx, len(s.groups), func(ctx context.Context, g int) error {
		f := &s.faults[s.groups[g][0]]
		faulted, made := map[bool]*Faulted{}, map[bool]*System{}
		for _, k := range open {
			r := &s.d.Requirements[requirements[k]]
			a := &answers[k][g]
			if a.outside || a.why != "" {
				continue
			}
			always := r.Form == model.Possible
			var err error
			w := faulted[always]
			if w == nil {
				if w, err = s.inject(ctx, s.d, f, always); err != nil {
					a.why = err.Error()
					continue
				}
				faulted[always] = w
			}
			if !cones[k].Holds(w) {
				a.outside, a.verdict.Outcome = true, system.Holds
				continue
			}
			sys := made[always]
			if sys == nil {
				if sys, err = s.opts.build(ctx, w, nominal); err != nil {
					return err
				}
				made[always] = sys
			}
			if always && len(w.stuck) > 0 {
				sys, a.verdict, err = w.stuckAnywhere(ctx, sys, r, nominal, s.opts)
			} else {
				a.verdict, a.beyond, err = sys.requirement(ctx, r, nominal)
			}
			if err == nil && w.Unprotected != nil {
				sys, err = s.flowing(ctx, sys, r, nominal, a)
			}
			if err != nil {
				return err
			}
			if o := a.verdict.Outcome; o == system.Fails || o == system.HoldsNominally {
				a.system = sys
				if a.verdict.Trace != nil {
					a.moves = sys.Lines(a.verdict.Trace)
				}
			}
		}
		return nil
	})
}

// flowing notes that the current of a short flows on. Where it then goes on switching so that
// nothing is decided, the answer is that up to the short.
func (s *Sweep) flowing(ctx context.Context, sys *System, r *model.Requirement, nominal bool, a *answer) (*System, error) {
	flows, err := sys.unprotected(ctx)
	if err != nil || !flows {
		return sys, err
	}
	a.bare = true
	if a.verdict.Outcome != system.Undecided {
		return sys, nil
	}
	p, err := s.protected(ctx)
	if err != nil {
		return nil, err
	}
	w, err := injectCut(ctx, s.d, p, sys.Fault, r.Form == model.Possible, true)
	if err != nil {
		return nil, err
	}
	until, err := s.opts.build(ctx, w, nominal)
	if err != nil {
		return nil, err
	}
	v, beyond, err := until.requirement(ctx, r, nominal)
	if err == nil && v.Outcome != system.Undecided {
		a.verdict, a.beyond, a.bare = v, beyond, !beyond
		return until, nil
	}
	return sys, err
}

// ends are the nodes that a requirement names itself.
func ends(r *model.Requirement) []model.NodeID {
	if r.Form == model.Apart {
		return []model.NodeID{r.X, r.Y}
	}
	return nil
}

// each calls f for the numbers below n, several at a time. It returns the error of the
// lowest number that has one.
func (s *Sweep) each(ctx context.Context, n int, f func(context.Context, int) error) error {
	errs := make([]error, n)
	g, inner := errgroup.WithContext(ctx)
	g.SetLimit(runtime.GOMAXPROCS(0))
	for i := range n {
		g.Go(func() error {
			if inner.Err() != nil {
				return inner.Err()
			}
			errs[i] = f(inner, i)
			return errs[i]
		})
	}
	if err := g.Wait(); err == nil {
		return nil
	}
	if err := ctx.Err(); err != nil {
		return err
	}
	for _, err := range errs {
		if err != nil && err != context.Canceled {
			return err
		}
	}
	return nil
}

// conclude puts the answers of all groups together.
func (s *Sweep) conclude(out *Result, answers []answer) {
	out.Outcome = Holds
	unknown := false
	for g := range answers {
		a := &answers[g]
		group := slices.DeleteFunc(s.group(g), func(f Fault) bool {
			return slices.ContainsFunc(out.Excepted, func(x Fault) bool { return x.Words == f.Words })
		})
		if !a.outside {
			out.Cone++
		}
		if a.beyond {
			out.Beyond = append(out.Beyond, group...)
		} else if a.bare {
			out.Unprotected = append(out.Unprotected, group...)
		}
		undecided := func(why string) {
			if out.Why == "" {
				out.Why = fmt.Sprintf("with %s: %s", group[0].Words, why)
			}
		}
		switch a.verdict.Outcome {
		case system.Fails, system.HoldsNominally:
			out.Failures = append(out.Failures, a.failure(group))
		case system.Undecided:
			undecided(a.verdict.Why)
		case system.Unknown:
			if a.why != "" {
				undecided(a.why)
			} else {
				unknown = true
			}
		default:
			if a.verdict.NominalOnly {
				undecided("it holds for nominal values; " + a.verdict.Why)
			}
		}
	}
	switch {
	case len(out.Failures) > 0:
		out.Outcome = Fails
	case unknown:
		out.Outcome = Unknown
	case out.Why != "":
		out.Outcome = Undecided
	}
}

// group lists the faults of a group.
func (s *Sweep) group(g int) []Fault {
	var out []Fault
	for _, i := range s.groups[g] {
		out = append(out, s.faults[i])
	}
	return out
}
