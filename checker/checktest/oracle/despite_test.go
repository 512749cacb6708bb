package oracle_test

import (
	"context"
	"fmt"
	"slices"
	"strings"

	sweep "pintle/checker/engine/fault"
	"pintle/lang/elaborate"
	"pintle/lang/model"
	"pintle/lang/source"
	"pintle/lang/syntax"
)

// faultTally counts what was compared.
type faultTally struct {
	designs, skipped, faults, uncompared, fail, holds, chosen int
}

// differDespite draws a design and tells where the sweep of single faults and the second
// reading differ.
func differDespite(choices *tape, sum *faultTally) (text, how string) {
	defer func() {
		if r := recover(); r != nil {
			if _, isTie := r.(tie); !isTie {
				panic(r)
			}
			sum.skipped++
			text, how = "", ""
		}
	}()
	const most = 2000
	d := draw(choices, false)
	text = d.text()
	if d.tolerant || len(d.starts()) == 0 {
		sum.skipped++
		return "", ""
	}
	sound, ok := d.judge(nil, most)
	if !ok || sound.hunts || sound.circles {
		sum.skipped++
		return "", ""
	}
	var held []int
	for i := range d.claims {
		if !sound.fails[i] {
			held = append(held, i)
		}
	}
	read := elaborate.Elaborate(context.Background(), syntax.Parse(source.NewFile("drawn.pintle", text), nil), nil)
	s := sweep.NewSweep(read.Designs[0], sweep.Options{})
	var theirs []string
	for _, f := range s.Faults() {
		if !strings.HasSuffix(f.Words, "B1.bead stuck") {
			theirs = append(theirs, f.Words)
		}
	}
	faults := d.faults()
	var ours []string
	for _, f := range faults {
		ours = append(ours, f.words)
	}
	slices.Sort(ours)
	slices.Sort(theirs)
	if !slices.Equal(ours, theirs) {
		return text, fmt.Sprintf("faults: expected\n%q, found\n%q", ours, theirs)
	}
	got, err := s.Despite(context.Background(), held)
	if err != nil {
		return text, err.Error()
	}
	said := make([]map[string]bool, len(held))
	open := make([]map[string]bool, len(held)) // faults that are judged up to a short only
	for k := range held {
		open[k] = map[string]bool{}
		for _, f := range got[k].Beyond {
			open[k][f.Words] = true
		}
		if got[k].Outcome == sweep.Undecided || got[k].Outcome == sweep.Unknown {
			continue
		}
		said[k] = map[string]bool{}
		for _, f := range got[k].Failures {
			for _, x := range f.Faults {
				said[k][x.Words] = true
			}
		}
	}
	sum.designs++
	var wrong []string
	beyond := map[string]bool{} // faults that the second reading knows nothing of
	fails, shows := make([][]bool, len(faults)), make([][]bool, len(faults))
	for i := range faults {
		fails[i], ok = d.despite(&faults[i], most, true)
		if shows[i] = fails[i]; faults[i].joins != nil || faults[i].made != nil {
			var also bool
			if shows[i], also = d.despite(&faults[i], most, false); !also {
				ok = false
			}
		}
		beyond[faults[i].words] = !ok
		if !ok {
			sum.uncompared++
			continue
		}
		sum.faults++
		for k, c := range held {
			if said[k] == nil || open[k][faults[i].words] {
				continue
			}
			if fails[i][c] {
				sum.fail++
			} else {
				sum.holds++
			}
			if said[k][faults[i].words] != fails[i][c] {
				wrong = append(wrong, fmt.Sprintf("%s with %s: expected %v, found %v", d.claims[c].name, faults[i].words, fails[i][c], !fails[i][c]))
			}
		}
	}
	if len(held) > 0 && sum.designs%3 == 0 {
		w, err := d.chosen(text, held[0], faults, fails, beyond, sum)
		if err != nil {
			return text, err.Error()
		}
		wrong = append(wrong, w...)
	}
	more, err := d.symptoms(s, read.Designs[0], held, faults, shows, beyond)
	if err != nil {
		return text, err.Error()
	}
	wrong = append(wrong, more...)
	return text, strings.Join(wrong, "\n")
}

// chosen holds a claim with the faults that it names, and but for them.
func (d *drawing) chosen(text string, c int, faults []fault, fails [][]bool, beyond map[string]bool, sum *faultTally) (wrong []string, err error) {
	name := d.claims[c].name
	says := ""
	for line := range strings.Lines(text) {
		if rest, ok := strings.CutPrefix(line, "require "+name+": "); ok {
			says = strings.TrimSpace(rest)
		}
	}
	named := map[string]bool{}
	var list []string
	for i := range faults {
		thing, how, _ := strings.Cut(faults[i].words, " ")
		if i%4 == len(text)%4 && len(list) < 6 {
			named[faults[i].words] = true
			list = append(list, thing+" "+modes[how])
		}
	}
	if says == "" || list == nil {
		return nil, nil
	}
	of := strings.Join(list, ", ")
	text += "\nrequire only: " + says + ", despite " + of + "\nrequire but: " + says + ", despite any one fault but " + of + "\n"
	read := elaborate.Elaborate(context.Background(), syntax.Parse(source.NewFile("drawn.pintle", text), nil), nil)
	m := read.Designs[0]
	n := len(m.Requirements)
	if m.Requirements[n-2].Broken || m.Requirements[n-1].Broken || len(m.Requirements[n-1].With.But) != len(list) {
		return []string{"can't be read: " + of}, nil
	}
	got, err := sweep.NewSweep(m, sweep.Options{}).Despite(context.Background(), []int{n - 2, n - 1})
	if err != nil {
		return nil, err
	}
	for k, r := range got {
		if r.Outcome == sweep.Undecided || r.Outcome == sweep.Unknown {
			continue
		}
		said, open := map[string]bool{}, map[string]bool{}
		for _, f := range r.Beyond {
			open[f.Words] = true
		}
		for _, f := range r.Failures {
			for _, x := range f.Faults {
				said[x.Words] = true
			}
		}
		for i := range faults {
			words := faults[i].words
			if beyond[words] || fails[i] == nil || open[words] {
				continue
			}
			sum.chosen++
			if want := fails[i][c] && named[words] == (k == 0); said[words] != want {
				wrong = append(wrong, fmt.Sprintf("%s of %s with %s: expected %v", m.Requirements[n-2+k].Name, says, words, want))
			}
		}
	}
	return wrong, nil
}

// symptoms holds which symptoms a fault explains: those of claims that hold, by the faults
// with which they do not.
func (d *drawing) symptoms(s *sweep.Sweep, m *model.Design, held []int, faults []fault, fails [][]bool, beyond map[string]bool) (wrong []string, err error) {
	for _, c := range held {
		k := slices.IndexFunc(m.Symptoms, func(x model.Symptom) bool { return x.Name == "s"+d.claims[c].name })
		if k < 0 {
			continue
		}
		got, err := s.Explain(context.Background(), []*model.Cond{m.Symptoms[k].Cond})
		if err != nil {
			return nil, err
		}
		var by []string
		for i := range faults {
			if fails[i] != nil && fails[i][c] {
				by = append(by, faults[i].words)
			}
		}
		switch e := got[0]; {
		case e.Outcome == sweep.Fails && by != nil:
			wrong = append(wrong, fmt.Sprintf("s%s: expected that %v explain it, found none", d.claims[c].name, by))
		case e.Outcome == sweep.Holds && !slices.Contains(by, e.By.Words) && !beyond[e.By.Words] && !strings.HasSuffix(e.By.Words, "B1.bead stuck"):
			wrong = append(wrong, fmt.Sprintf("s%s: expected %v, found that %s explains it", d.claims[c].name, by, e.By.Words))
		}
	}
	return wrong, nil
}

// despite judges with a fault that comes at any time; ok is false where that is beyond the
// second reading. With flows the current of a short that no fuse opens flows on, else nothing
// is told of what comes after it.
func (d *drawing) despite(f *fault, most int, flows bool) (fails []bool, ok bool) {
	d.net.rides = flows
	defer func() { d.net.rides = false }()
	var out [2]verdicts
	for k, from := range []bool{false, true} {
		mend := d.afflict(f, from)
		v, ok := func() (verdicts, bool) {
			defer mend()
			return d.judge(nil, most)
		}()
		if !ok || v.hunts || v.circles {
			return nil, false
		}
		out[k] = v
	}
	for i, c := range d.claims {
		fails = append(fails, out[0].fails[i])
		if c.form == "possible" {
			fails[i] = out[1].fails[i]
		}
	}
	return fails, true
}
