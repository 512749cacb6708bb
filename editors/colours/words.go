package colours

import (
	"cmp"
	"maps"
	"regexp"
	"slices"
	"strings"

	"pintle/lang/schema"
	"pintle/lang/unit"
)

// Words are those of the language, each list sorted, without what a list before it has.
type Words struct {
	Kinds     []string // what a statement begins with
	Operators []string // of conditions
	Clauses   []string
	Choices   []string // what clauses let choose from: vacuum, make
	Colours   []string
	Units     []string // in every spelling that is read
}

// conditions has a condition for every word that conditions are made of. A test reads
// them all.
var conditions = []string{
	"a is on", "not a is on", "a is on and b is on", "a is on or b is on", "a is any of x, y",
	"s above 1 V", "s below 1 V", "s at least 1 V", "s at most 1 V", "s between 1 V and 2 V",
	"every a is on", "any a is on", "always", "a is on for 1 s", "a is on in the last 1 s",
	"(a is on) begins", "(a is on) ends", "(a is on) stays", "current through a above 1 A", "volts a to b above 1 V",
}

// Vocabulary gathers the words out of the tables of the language.
func Vocabulary() Words {
	var w Words
	for _, c := range conditions {
		for _, word := range regexp.MustCompile(`\pL{2,}`).FindAllString(c, -1) {
			if _, isUnit := unit.Lookup(word); !isUnit && word != "on" && word != "to" {
				w.Operators = append(w.Operators, word)
			}
		}
	}
	for _, k := range schema.All() {
		w.Kinds = append(w.Kinds, k.Name)
		for _, f := range k.Forms {
			for _, e := range f.Elems {
				if e.Word != "" {
					w.Clauses = append(w.Clauses, e.Word)
					continue
				}
				for _, c := range e.Slot.Choices {
					w.Choices = append(w.Choices, strings.Fields(c)...)
				}
			}
		}
	}
	w.Colours = append(schema.Colours(), "dark", "light")
	for _, u := range unit.AllUnits() {
		w.Units = append(w.Units, u.Spellings()...)
	}
	w.Kinds, w.Units = once(w.Kinds), once(w.Units)
	w.Operators = once(w.Operators)
	w.Clauses = once(w.Clauses, w.Operators)
	w.Choices = once(w.Choices, w.Operators, w.Clauses, w.Units)
	w.Colours = once(w.Colours, w.Operators, w.Clauses)
	return w
}

// once sorts words, and leaves out what is said twice or in another list.
func once(words []string, said ...[]string) []string {
	set := map[string]bool{}
	for _, w := range words {
		set[w] = true
	}
	for _, w := range slices.Concat(said...) {
		delete(set, w)
	}
	return slices.Sorted(maps.Keys(set))
}

// alternatives is a regular expression for one of the words; the longest comes first,
// since engines take the first that fits.
func alternatives(words []string) string {
	l := slices.Clone(words)
	slices.SortStableFunc(l, func(a, b string) int { return cmp.Compare(len(b), len(a)) })
	for i, w := range l {
		l[i] = regexp.QuoteMeta(w)
	}
	return strings.Join(l, "|")
}
