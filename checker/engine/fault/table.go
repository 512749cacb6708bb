package fault

import (
	"context"
	"errors"
	"slices"
	"sync"

	"pintle/checker/engine/system"
	"pintle/lang/diag"
	"pintle/lang/model"
)

// Effect is something that a fault makes otherwise: a requirement that no longer holds, or a
// symptom that shows.
type Effect struct {
	Name  string
	Text  string // what a symptom says
	Moves []diag.Line
	// Drive sets what the moves set, without the fault; Inexact lists what it can't do.
	Drive   model.Drive
	Inexact []string
}

// Row is what one group of faults of the same effect does, with everything at its nominal
// value.
type Row struct {
	Faults []Fault
	// Claims are the requirements that hold while nothing fails, and not with the fault.
	Claims []Effect
	// Symptoms show with the fault, and not while nothing fails.
	Symptoms []Effect
	// Changes are what stands otherwise with the fault, by operating states; nil where Options.Brief.
	Changes []Change
	// Short is the current of a short and what opens for it; zero for what is none.
	Short ShortCurrent
	// Unprotected is set where the fault shorts a supply and no fuse opens: the current flows
	// on. Beyond is set where it is not sure that one opens: what comes after is left out.
	Unprotected, Beyond bool
	// Open says what could not be decided; Tried is false where the time was over before.
	Open  []string
	Tried bool
}

// Silent reports whether no requirement and no symptom of the design tells of the fault.
func (r *Row) Silent() bool {
	return r.Tried && len(r.Claims) == 0 && len(r.Symptoms) == 0 && len(r.Open) == 0
}

// Table tries every single fault on everything that the design claims and on every symptom.
// Progress, if set, is told how many groups are done; it is called by one goroutine at a
// time. When the context ends the rows that were not tried say so; that is no error.
func (s *Sweep) Table(ctx context.Context, only func(*Fault) bool, progress func(done, all int)) ([]Row, error) {
	claims, symptoms, err := s.sound(ctx)
	if err != nil && ctx.Err() == nil {
		return nil, err
	}
	var groups []int
	for g := range s.groups {
		for _, f := range s.group(g) {
			if only == nil || only(&f) {
				groups = append(groups, g)
				break
			}
		}
	}
	rows := make([]Row, len(groups))
	for k, g := range groups {
		rows[k].Faults = s.group(g)
	}
	on := questions{claims: claims, symptoms: symptoms}
	for _, i := range claims {
		r := &s.d.Requirements[i]
		on.claimCones = append(on.claimCones, ConeOf(s.d, []*model.Cond{r.A, r.B}, ends(r)...))
	}
	for _, i := range symptoms {
		on.symptomCones = append(on.symptomCones, ConeOf(s.d, []*model.Cond{s.d.Symptoms[i].Cond}))
	}
	var mu sync.Mutex
	done := 0
	err = s.each(ctx, len(groups), func(ctx context.Context, k int) error {
		if err := s.try(ctx, &rows[k], &on); err != nil {
			return err
		}
		mu.Lock()
		defer mu.Unlock()
		if done++; progress != nil {
			progress(done, len(groups))
		}
		return nil
	})
	if err != nil && !errors.Is(err, context.DeadlineExceeded) {
		return nil, err
	}
	return rows, nil
}

// sound lists the requirements that hold and the symptoms that do not show while nothing
// fails, by index.
func (s *Sweep) sound(ctx context.Context) (claims, symptoms []int, err error) {
	d, err := Protect(ctx, s.d)
	if err != nil {
		return nil, nil, err
	}
	sys, err := system.Build(ctx, d, system.Options{MaxNodes: s.opts.MaxNodes, MaxZones: s.opts.MaxZones, Memo: s.opts.Memo})
	if err != nil {
		return nil, nil, err
	}
	for i := range d.Requirements {
		r := &d.Requirements[i]
		if r.Broken || !r.A.Known() || !r.B.Known() {
			continue
		}
		v, err := sys.Decide(ctx, r)
		if err != nil {
			return nil, nil, err
		}
		if v.Outcome == system.Holds {
			claims = append(claims, i)
		}
	}
	for i := range d.Symptoms {
		y := &d.Symptoms[i]
		if y.Broken || !y.Cond.Known() {
			continue
		}
		v, err := sys.PossibleHere(ctx, system.On(y.Cond))
		if err != nil {
			return nil, nil, err
		}
		if v.Outcome == system.Fails {
			symptoms = append(symptoms, i)
		}
	}
	return claims, symptoms, nil
}

// questions are what each fault of a table is tried on: requirements and symptoms, by index, with
// what affects each.
type questions struct {
	claims, symptoms         []int
	claimCones, symptomCones []*Cone
}

// try fills one row.
func (s *Sweep) try(ctx context.Context, row *Row, on *questions) error {
	f := &row.Faults[0]
	systems := map[bool]*System{}
	of := func(always bool) (*System, error) {
		if sys := systems[always]; sys != nil {
			return sys, nil
		}
		w, err := s.inject(ctx, s.d, f, always)
		if err != nil {
			row.Open = append(row.Open, err.Error())
			return nil, nil
		}
		sys, err := s.opts.build(ctx, w, true)
		systems[always] = sys
		return sys, err
	}
	effect := func(sys *System, name, text string, v system.Verdict) Effect {
		e := Effect{Name: name, Text: text}
		if v.Trace != nil {
			e.Moves = sys.Lines(v.Trace)
			e.Drive, e.Inexact = sys.AsDrive(v.Trace, "moves")
			e.Drive.Steps = slices.DeleteFunc(e.Drive.Steps, func(t model.Step) bool { return len(t.Faults) > 0 })
		}
		return e
	}
	plain, err := of(false)
	if err != nil {
		return err
	}
	if plain == nil { // it can't be injected
		row.Tried = true
		return nil
	}
	for k, i := range on.claims {
		r := &s.d.Requirements[i]
		if !on.claimCones[k].Holds(plain.Faulted) {
			continue
		}
		sys, err := of(r.Form == model.Possible)
		if err != nil || sys == nil {
			return err
		}
		v, _, err := sys.requirement(ctx, r, true)
		if err == nil && r.Form == model.Possible && len(sys.stuck) > 0 {
			sys, v, err = sys.stuckAnywhere(ctx, sys, r, true, s.opts)
		}
		if err != nil {
			return err
		}
		switch v.Outcome {
		case system.Fails, system.HoldsNominally:
			row.Claims = append(row.Claims, effect(sys, r.Name, r.Text, v))
		case system.Undecided:
			row.Open = append(row.Open, r.Name+": "+v.Why)
		}
	}
	for k, i := range on.symptoms {
		y := &s.d.Symptoms[i]
		if !on.symptomCones[k].Holds(plain.Faulted) {
			continue
		}
		v, err := plain.possible(ctx, plain.Of(y.Cond), true)
		if err != nil {
			return err
		}
		switch v.Outcome {
		case system.Holds:
			row.Symptoms = append(row.Symptoms, effect(plain, y.Name, y.Text, v))
		case system.Undecided:
			row.Open = append(row.Open, y.Name+": "+v.Why)
		}
	}
	if plain.Shorted != nil {
		if row.Beyond, err = plain.burning(ctx); err != nil {
			return err
		}
	}
	if !s.opts.Brief {
		whole, err := plain.whole(ctx, s.opts)
		if err != nil {
			return err
		}
		if row.Changes, err = plain.changesIn(ctx, whole); err != nil {
			return err
		}
	}
	if row.Unprotected, err = plain.unprotected(ctx); err != nil {
		return err
	}
	row.Tried = true
	return s.short(ctx, row)
}

// LeftOut is a way of failing that is not among the single faults, and why.
type LeftOut struct {
	Words string `json:"fault"`
	Why   string `json:"why"`
}

// LeftOut lists what a drive can make fail and no single fault does.
func (s *Sweep) LeftOut() []LeftOut { return leftOut(s.d) }
