package run

import (
	"cmp"
	"math/big"
	"slices"
	"time"

	"pintle/checker/engine/budget"
	"pintle/checker/engine/fault"
	"pintle/checker/engine/system"
	"pintle/checker/question/claim"
	"pintle/checker/question/drives"
	"pintle/checker/question/rootcause"
	"pintle/checker/rule"
	"pintle/checker/run/accept"
	"pintle/lang/diag"
	"pintle/lang/model"
)

// Verdict is how one thing that a design says of itself stands.
type Verdict struct {
	Kind   string // requirement, band, symptom, drive, noticed, assumption
	Name   string // its path
	Text   string // what it says of itself in words, if it does
	Design string // the combination of options or the bench; empty where there is one only
	diag.Place
	Outcome Outcome
	// Corner is where a Nominal one does not hold, in words: "battery at 9 V".
	Corner string
	// Why says what stood in the way, or what is left out.
	Why string
	// States counts the reachable states that it was held against; nil: not known, or none was.
	States *big.Int
	// Assumptions are those without which the outcome would be another one.
	Assumptions []string
	// Assumed are the values that were taken where the text says nothing, among what it is
	// computed from: "length of W3: 1 m".
	Assumed []string
}

// Outcome is how a claim stands.
type Outcome uint8

// The outcomes.
const (
	Unread      Outcome = iota // it could not be read, or nobody asked
	Undecided                  // Why says why
	Proved                     // holds in every reachable state, whatever the tolerances
	NominalOnly                // holds at nominal values, not with Corner
	Fails
	Vacuous // holds, as what it speaks of never occurs
)

// Said is the outcome in the word that fits the kind: a drive passes, a symptom shows.
func (v *Verdict) Said() string {
	switch {
	case v.Outcome == Proved && v.Kind == "drive":
		return "passes"
	case v.Outcome == Proved && v.Kind == "symptom":
		return "can show"
	case v.Outcome == Proved && v.Kind == "assumption":
		return "restricts"
	case v.Outcome == Vacuous && v.Kind == "assumption":
		return "takes nothing away"
	}
	return v.Outcome.String()
}

func (o Outcome) String() string {
	return [...]string{"not read", "undecided", "proved", "nominal only", "fails", "vacuous"}[o]
}

// Severity is how severe the outcome is where no finding tells of it.
func (v *Verdict) Severity() diag.Severity {
	switch {
	case v.Outcome == Fails && v.Kind != "symptom" && v.Kind != "assumption", v.Outcome == Undecided:
		return diag.Error
	}
	return diag.Off
}

var outcomes = map[claim.Standing]Outcome{
	claim.Unread: Unread, claim.Undecided: Undecided, claim.Proved: Proved, claim.Vacuous: Vacuous, claim.Nominal: NominalOnly, claim.Failed: Fails,
}

// register is the work of listing verdicts on one design.
type register struct {
	p     *rule.Pass
	found []diag.Finding
	ran   func(rule string) bool
	from  *rootcause.Computed
	out   []Verdict
}

// verdicts lists how everything stands that a design says of itself, given what the rules
// found and which of them ran.
func verdicts(p *rule.Pass, found []diag.Finding, ran func(string) bool) []Verdict {
	r := &register{p: p, found: found, ran: ran, from: rootcause.NewComputed(p.Design)}
	d := p.Design
	for i := range d.Requirements {
		r.add("requirement", &d.Requirements[i].Info, d.Requirements[i].Text, func(v *Verdict) { r.requirement(i, v) })
	}
	for i := range d.Bands {
		for j := range d.Bands[i].Bands {
			if b := &d.Bands[i].Bands[j]; b.Claim != nil {
				r.add("band", &b.Info, "", func(v *Verdict) {
					r.claim(claim.Band(p, i, j), v)
					r.states(v, system.On(b.Claim), system.On(b.In))
				})
			}
		}
	}
	for i := range d.Symptoms {
		s := &d.Symptoms[i]
		r.add("symptom", &s.Info, s.Text, func(v *Verdict) {
			r.by(v, "symptom-unexplained")
			r.states(v, system.On(s.Cond))
		})
	}
	for i := range d.Notices {
		r.add("noticed", &d.Notices[i].Info, "", func(v *Verdict) { r.noticed(i, v) })
	}
	r.drives()
	for i := range d.Assumptions {
		r.add("assumption", &d.Assumptions[i].Info, "", func(v *Verdict) { r.assumption(v) })
	}
	return r.out
}

// add lists one thing; how it stands is asked in question.
func (r *register) add(kind string, i *model.Info, text string, question func(*Verdict)) {
	v := Verdict{Kind: kind, Name: i.Path, Text: text, Design: r.p.Design.Name, Place: i.NamePlace}
	if !i.Broken {
		if err := r.p.Ask(func(*rule.Pass) { question(&v) }); err != nil {
			v.Outcome, v.Why = Undecided, err.Error()
		}
	}
	has := r.from.From(i.Path)
	for _, a := range r.p.Design.Assumed {
		if has(a.Path) {
			v.Assumed = append(v.Assumed, a.What+": "+a.Value)
		}
	}
	r.out = append(r.out, v)
}

func (r *register) claim(a claim.Answer, v *Verdict) {
	v.Outcome, v.Why = outcomes[a.Standing], a.Why
	v.Assumptions = a.Verdict.Assumptions
	if v.Outcome == NominalOnly {
		v.Corner = a.Verdict.Corner
	}
}

func (r *register) requirement(i int, v *Verdict) {
	q := &r.p.Design.Requirements[i]
	a, tried := Stands(r.p, i)
	r.claim(a, v)
	if q.Despite && a.Standing == claim.Failed && len(tried.Failures) > 0 {
		v.Why = "with " + tried.Failures[0].Faults[0].Words
	}
	if q.Despite && a.Standing == claim.Proved && len(tried.Unprotected)+len(tried.Beyond) > 0 {
		v.Why = "as long as nothing burns: some shorts open no fuse, or no fuse surely"
	}
	s := r.p.Protected()
	q = &s.Design().Requirements[i]
	r.states(v, system.On(q.A), system.On(q.B))
}

// Stands is how a requirement stands, also with the faults that it is to hold despite, and what
// came of trying these.
func Stands(p *rule.Pass, i int) (claim.Answer, fault.Result) {
	a := claim.Requirement(p, i)
	q := &p.Design.Requirements[i]
	if !q.Despite || a.Standing == claim.Unread {
		return a, fault.Result{}
	}
	tried, ok := p.Despite(i)
	return despite(p, i, a, tried, ok), tried
}

// despite is how a requirement stands that is to hold despite faults, given how it stands
// without any and what came of trying them.
func despite(p *rule.Pass, i int, a claim.Answer, r fault.Result, tried bool) claim.Answer {
	if tried && a.Standing == claim.Vacuous && claim.ForAFault(p, &p.Design.Requirements[i]) {
		a.Standing = claim.Proved // by the faults that put it to the test, if it is
	}
	return claim.Despite(a, r, tried)
}

func (r *register) states(v *Verdict, cs ...system.Condition) {
	if v.Outcome == Unread {
		return
	}
	n, err := r.p.Protected().StatesOf(r.p.Ctx, cs...)
	r.p.StopOn(err)
	v.States = n
}

func (r *register) noticed(i int, v *Verdict) {
	n, read := r.p.Noticed(i)
	switch {
	case !read:
	case n.Outcome == fault.Fails:
		v.Outcome = Fails
		if len(n.Missed) > 0 {
			v.Why = n.Missed[0].Faults[0].Words + " is not noticed"
		}
	case n.Tried == 0:
		v.Outcome = Vacuous
	case n.Outcome == fault.Holds:
		v.Outcome = Proved
		if len(n.Beyond) > 0 {
			v.Why = "as long as nothing burns: some shorts open no fuse surely"
		}
	default:
		v.Outcome, v.Why = Undecided, n.Why
	}
}

// drives lists the drives that are meant for the design. What one sees it sees in its own run:
// a drive that passes proves nothing beyond that.
func (r *register) drives() {
	d := r.p.Design
	var runs []rule.DriveRun
	err := r.p.Ask(func(p *rule.Pass) { runs = p.Drives() })
	for i := range d.Drives {
		if !rule.MeantFor(&d.Drives[i], d) {
			continue
		}
		r.add("drive", &d.Drives[i].Info, d.Drives[i].Text, func(v *Verdict) {
			if err != nil {
				v.Outcome, v.Why = Undecided, err.Error()
				return
			}
			o := drives.Judge(d, i, runs)
			switch standing, why := o.Standing(); standing {
			case drives.Missed:
				v.Outcome = Fails
			case drives.Undecided:
				v.Outcome, v.Why = Undecided, why
			default:
				v.Outcome = Proved
			}
		})
	}
}

// by takes the outcome from what a rule found.
func (r *register) by(v *Verdict, rules ...string) {
	v.Outcome = Proved
	if s := budget.Stopped(r.p.Ctx); s != nil && slices.ContainsFunc(rules, func(name string) bool { return !r.ran(name) }) {
		v.Outcome, v.Why = Undecided, s.Why
	} else if !slices.ContainsFunc(rules, r.ran) {
		v.Outcome, v.Why = Unread, "the rule that decides it did not run"
		return
	}
	for i := range r.found {
		f := &r.found[i]
		switch {
		case f.Subject != v.Name:
		case slices.Contains(rules, f.Rule):
			v.Outcome, v.Why = Fails, f.Message
			return
		case f.Rule == rule.Undecided:
			v.Outcome, v.Why = Undecided, f.Message
		}
	}
}

// assumption: one that restricts something is proved to be of use, one that takes nothing away is
// vacuous, one that leaves nothing to move fails.
func (r *register) assumption(v *Verdict) {
	r.by(v, "assumption-unused", "assumption-blocks")
	if v.Outcome == Fails && slices.ContainsFunc(r.found, func(f diag.Finding) bool { return f.Rule == "assumption-unused" && f.Subject == v.Name }) {
		v.Outcome = Vacuous
	}
}

// Accepted is one acceptance with what it takes.
type Accepted struct {
	Rule, On, Reason, Until string
	diag.Place
	Lapsed bool
	// DaysLeft until it lapses, the last day included; nil: it has no last day.
	DaysLeft *int
	// Takes are the messages of the findings that it takes.
	Takes []string
}

// acceptances lists those of a file, given its findings.
func acceptances(m *accept.Matcher, today time.Time, found []diag.Finding) []Accepted {
	var out []Accepted
	for _, a := range m.All() {
		x := Accepted{Rule: a.Rule, On: a.On, Reason: a.Reason, Until: a.Until, Place: a.Place}
		if end, err := time.Parse(time.DateOnly, a.Until); err == nil && !today.IsZero() {
			now, _ := time.Parse(time.DateOnly, today.Format(time.DateOnly))
			days := int(end.Sub(now).Hours()/24) + 1
			x.DaysLeft, x.Lapsed = &days, days <= 0
		}
		for i := range found {
			if w := found[i].Waived; w != nil && w.File != nil && a.Place.File != nil && w.File.Name == a.Place.File.Name && w.Start == a.Place.Start {
				x.Takes = append(x.Takes, found[i].Message)
			}
		}
		out = append(out, x)
	}
	slices.SortStableFunc(out, func(a, b Accepted) int { return cmp.Or(cmp.Compare(a.File.Name, b.File.Name), a.Start-b.Start) })
	return out
}
