package scenario

import "pintle/lang/model"

// Seen is what came of one expectation: True if it was met, Unknown if that depends on
// something that could not be read.
type Seen struct {
	Step, See int   // from 0
	At        int64 // ns from the start: when the step ended, or when it was missed
	Met       Truth
}

// watch follows one expectation through a step.
type watch struct {
	see    *model.See
	index  int
	began  bool // `once` came true
	vague  bool // it turned on what is not known
	failed bool
	at     int64 // when it failed, ns
}

// look holds the running expectations against a moment.
func (r *runner) look(m *moment) {
	for i := range r.watch {
		w := &r.watch[i]
		if w.failed || w.see.When == model.AtEnd {
			continue
		}
		if w.see.When == model.Once && !w.began {
			once := m.eval(w.see.Once)
			w.vague = w.vague || once == Unknown
			if w.began = once == True; !w.began {
				continue
			}
		}
		r.judge(m, w)
	}
}

// atEnd judges what is expected at the end of a step.
func (r *runner) atEnd(m *moment) {
	for i := range r.watch {
		w := &r.watch[i]
		switch {
		case w.failed:
		case w.see.When == model.AtEnd:
			r.judge(m, w)
		case w.see.When == model.Once && !w.began && !w.vague:
			w.failed, w.at = true, r.s.At
			r.failed(m, w, "the moment never came: "+r.design.Words(w.see.Once)+" was never true in this step")
		}
		seen := Seen{r.step, w.index, r.s.At, True}
		if w.failed {
			seen.At, seen.Met = w.at, False
		} else if w.vague {
			seen.Met = Unknown
		}
		r.out.Seen = append(r.out.Seen, seen)
		if seen.Met != Unknown {
			r.out.Sees++
		} else {
			r.open(w.see.Place, "what "+r.stepName()+" expects depends on something that could not be read")
		}
	}
}

// judge holds an expectation against a moment.
func (r *runner) judge(m *moment, w *watch) {
	switch m.eval(w.see.Cond) {
	case False:
		w.failed, w.at = true, r.s.At
		r.failed(m, w, "")
	case Unknown:
		w.vague = true
	}
}

func (r *runner) failed(m *moment, w *watch, seen string) {
	f := Failure{Step: r.step, See: w.index, At: r.s.At, Pace: r.pace, Place: w.see.Place,
		Expected: w.see.Text, Seen: seen}
	if f.Expected == "" {
		f.Expected = r.design.Words(w.see.Cond)
	}
	if seen == "" {
		m.read = nil
		f.Seen = m.standing(w.see.Cond)
		f.Numbers, m.read = m.read, nil
		f.Chain = m.Explain(w.see.Cond, true)
	} else {
		f.Chain = m.Explain(w.see.Once, true)
	}
	if all, ok := m.solutions(); ok && len(all) == 1 {
		f.Circuit = all[0]
	}
	r.out.Failures = append(r.out.Failures, f)
}
