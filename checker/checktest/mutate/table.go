package mutate

import (
	"fmt"
	"io"
	"slices"
	"strings"
)

// Tally counts outcomes.
type Tally struct {
	Made, Caught, Equal, Numbers, Elsewhere, Another, Missed int
	First                                                    int
	beside                                                   []int
}

// Add counts an outcome.
func (t *Tally) Add(o *Outcome) {
	t.Made++
	switch o.Class {
	case Caught:
		t.Caught++
		t.beside = append(t.beside, o.Beside)
		if o.First {
			t.First++
		}
	case Alike:
		t.Equal++
	case NumbersOnly:
		t.Numbers++
	case Elsewhere:
		t.Elsewhere++
	case Another:
		t.Another++
	case Missed:
		t.Missed++
	}
}

// Rate is the share of those caught among those that change what happens, in percent.
func (t *Tally) Rate() float64 { return share(t.Caught, t.Elsewhere+t.Another+t.Missed) }

// TellableRate is the share of those caught among those that could be told from the design alone:
// other designs as consistent as the first are left out.
func (t *Tally) TellableRate() float64 { return share(t.Caught, t.Elsewhere+t.Missed) }

// AnyRate is the share of those that draw any new finding, wherever it points, among the same.
func (t *Tally) AnyRate() float64 { return share(t.Caught+t.Elsewhere, t.Missed) }

// share is how much some are of themselves and others, in percent.
func share(some, others int) float64 {
	if some+others == 0 {
		return 100
	}
	return 100 * float64(some) / float64(some+others)
}

// FirstRate is the share of the caught ones whose first finding names the changed line or a
// partner, in percent.
func (t *Tally) FirstRate() float64 {
	if t.Caught == 0 {
		return 100
	}
	return 100 * float64(t.First) / float64(t.Caught)
}

// Beside is the median number of unfolded findings beside the first.
func (t *Tally) Beside() int {
	if len(t.beside) == 0 {
		return 0
	}
	list := slices.Clone(t.beside)
	slices.Sort(list)
	return list[len(list)/2]
}

// Table writes what became of the mutants of each kind.
func Table(w io.Writer, outcomes []Outcome) Tally {
	var all, wiring, logic Tally
	by := map[string]*Tally{}
	for i := range outcomes {
		o := &outcomes[i]
		if by[o.Mutant.Kind] == nil {
			by[o.Mutant.Kind] = &Tally{}
		}
		by[o.Mutant.Kind].Add(o)
		all.Add(o)
		if meant[o.Mutant.Kind] {
			logic.Add(o)
		} else {
			wiring.Add(o)
		}
	}
	head := fmt.Sprintf("%-16s %6s %6s %8s %7s %10s %8s %7s %7s %7s %7s %7s %7s\n", "kind", "made", "equal", "numbers", "caught", "elsewhere", "another", "missed", "%", "told%", "any%", "first%", "beside")
	io.WriteString(w, head)
	row := func(name string, t *Tally) {
		fmt.Fprintf(w, "%-16s %6d %6d %8d %7d %10d %8d %7d %6.1f%% %6.1f%% %6.1f%% %6.1f%% %7d\n", name, t.Made, t.Equal, t.Numbers, t.Caught, t.Elsewhere, t.Another, t.Missed,
			t.Rate(), t.TellableRate(), t.AnyRate(), t.FirstRate(), t.Beside())
	}
	for _, k := range Kinds() {
		if t := by[k.Name]; t != nil {
			row(k.Name, t)
		}
	}
	fmt.Fprintln(w, strings.Repeat("-", len(head)-1))
	row("wiring, parts", &wiring)
	row("what is decided", &logic)
	row("all", &all)
	return all
}
