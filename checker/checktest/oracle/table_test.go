package oracle_test

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"pintle/checker/question/ask"
	"pintle/checker/question/table"
	"pintle/checker/run"
)

// tableTally counts what was compared.
type tableTally struct{ designs, tables, rows, states, single, memory, open int }

// stands reports whether a stretch of a quantity, as a table writes it, has a value.
func stands(text string, x float64) bool {
	for _, part := range strings.Split(text, " or ") {
		var a, b float64
		scan := func(form string, to ...any) bool {
			n, err := fmt.Sscanf(part, form, to...)
			return err == nil && n == len(to)
		}
		in := false
		switch {
		case scan("from %f rpm up to and including %f rpm", &a, &b):
			in = x >= a && x <= b
		case scan("above %f rpm up to and including %f rpm", &a, &b):
			in = x > a && x <= b
		case scan("above %f rpm and below %f rpm", &a, &b):
			in = x > a && x < b
		case scan("between %f rpm and %f rpm", &a, &b):
			in = x >= a && x < b
		case scan("exactly %f rpm", &a):
			in = x == a
		case scan("at most %f rpm", &a):
			in = x <= a
		case scan("at least %f rpm", &a):
			in = x >= a
		case scan("below %f rpm", &a):
			in = x < a
		case scan("above %f rpm", &a):
			in = x > a
		default:
			panic("no stretch: " + part)
		}
		if in {
			return true
		}
	}
	return false
}

// position reports whether a cell about a setting allows one of its positions.
func position(text, at string) bool {
	if other, not := strings.CutPrefix(text, "not "); not {
		return other != at
	}
	return slices.Contains(strings.Split(text, ", "), at)
}

// matches reports whether what a row says of inputs is so in a state. What it says of memory is
// not looked at.
func (d *drawing) matches(t *table.Table, r *table.Row, x string) bool {
	for i, name := range t.Inputs {
		if r.When[i] == "" {
			continue
		}
		for _, v := range d.settings {
			if d.vars[v].name == name && !position(r.When[i], string("abc"[x[v]])) {
				return false
			}
		}
		for _, v := range d.quantities {
			if d.vars[v].name == name && !stands(r.When[i], 5*float64(x[v])) {
				return false
			}
		}
	}
	return true
}

// inputsOnly reports whether a row says nothing of memory.
func (d *drawing) inputsOnly(t *table.Table, r *table.Row) bool {
	for i, name := range t.Inputs {
		isInput := func(v int) bool { return d.vars[v].name == name }
		if r.When[i] != "" && !slices.ContainsFunc(d.settings, isInput) && !slices.ContainsFunc(d.quantities, isInput) {
			return false
		}
	}
	return true
}

// differTable draws a design and tells where a table differs from the states that the second
// reading comes to rest in.
func differTable(choices *tape, sum *tableTally) (text, how string) {
	defer func() {
		if r := recover(); r != nil {
			if _, isTie := r.(tie); !isTie {
				panic(r)
			}
			text, how = "", ""
		}
	}()
	d := draw(choices, false)
	text = d.text()
	if len(d.starts()) == 0 {
		return "", ""
	}
	d.net.solid = true
	holding, ok := d.judge(nil, 2000)
	d.net.solid = false
	if !ok || holding.hunts || holding.circles {
		return "", ""
	}
	d.net.corner, d.net.solved, d.net.calm = nil, map[string]*solution{}, map[string]*solution{}
	d.world.ends, d.hunts, d.races, d.circles, d.world.burns = map[string][]string{}, false, false, false, false
	var states []string
	if _, ok = d.reach(nil, 0, func(x string) { states = append(states, x) }, 2000); !ok || d.hunts || d.circles || d.world.burns {
		return "", ""
	}
	var req run.TableRequest
	var shown []cond
	for _, c := range d.claims {
		if c.a.text != "" && c.a.is != nil && !slices.Contains(req.Show, c.a.text) {
			req.Show, shown = append(req.Show, c.a.text), append(shown, c.a)
		}
	}
	if len(shown) == 0 {
		return "", ""
	}
	req.Path, req.Input = run.StandardInput, []byte(text)
	got, err := run.Table(context.Background(), req)
	if err != nil {
		return text, err.Error()
	}
	sum.designs++
	if got.Designs[0].Why != "" {
		sum.open++
		return "", ""
	}
	var wrong []string
	for i := range got.Designs[0].Tables {
		t := &got.Designs[0].Tables[i]
		if t.Why != "" {
			sum.open++
			continue
		}
		sum.tables++
		sum.rows += len(t.Rows)
		sum.open += len(t.Open)
		wrong = append(wrong, d.againstStates(t, shown, req.Show, states, sum)...)
		wrong = append(wrong, overlapping(t, req.Input)...)
	}
	return text, strings.Join(wrong, "\n")
}

// againstStates holds the rows against the states of the second reading.
func (d *drawing) againstStates(t *table.Table, shown []cond, names []string, states []string, sum *tableTally) (wrong []string) {
	used := make([]bool, len(t.Rows))
	for _, x := range states {
		says := func(name string) string {
			return map[bool]string{true: "yes", false: "no"}[shown[slices.Index(names, name)].is(x)]
		}
		sum.states++
		for _, c := range t.Same {
			if says(c.Name) != c.Text {
				wrong = append(wrong, fmt.Sprintf("%s: expected %s, all rows say %s", c.Name, says(c.Name), c.Text))
			}
		}
		var fit, right []int
		for k := range t.Rows {
			if !d.matches(t, &t.Rows[k], x) {
				continue
			}
			fit = append(fit, k)
			same := true
			for c, name := range t.Columns {
				same = same && t.Rows[k].Cells[c].Values[0] == says(name)
			}
			if same {
				right = append(right, k)
				used[k] = true
			}
			if len(t.Rows[k].Cells) > 0 && d.inputsOnly(t, &t.Rows[k]) {
				sum.single++
				if !same {
					wrong = append(wrong, "a row that speaks of inputs only says otherwise: "+t.Rows[k].Condition)
				}
			} else {
				sum.memory++
			}
		}
		if len(t.Rows) > 0 && len(right) == 0 {
			wrong = append(wrong, fmt.Sprintf("no row has what is so in a state; %d have its inputs", len(fit)))
		}
	}
	for k := range used {
		if !used[k] && !timed(t.Rows[k].Condition) {
			wrong = append(wrong, "no state is in the row "+t.Rows[k].Condition)
		}
	}
	return wrong
}

// timed reports whether a condition has a timer that is written into it. Each is one of its own, and
// of two that end at once either may be first.
func timed(condition string) bool {
	return strings.Contains(condition, " for ") || strings.Contains(condition, " in the last ")
}

// overlapping asks whether a state can be in two rows, or in none.
func overlapping(t *table.Table, text []byte) (wrong []string) {
	if len(t.Rows) == 0 || len(t.Rows) > 12 {
		return nil
	}
	q := run.AskRequest{OpenRequest: run.OpenRequest{Path: run.StandardInput, Input: text}}
	var all []string
	for i := range t.Rows {
		all = append(all, "("+t.Rows[i].Condition+")")
		if timed(all[i]) {
			return nil
		}
		if i > 0 {
			q.Questions = append(q.Questions, fmt.Sprintf("(%s) and %s", strings.Join(all[:i], " or "), all[i]))
		}
	}
	q.Questions = append(q.Questions, fmt.Sprintf("not (%s)", strings.Join(all, " or ")))
	got, err := run.Ask(context.Background(), q)
	var unread *run.QuestionError
	if errors.As(err, &unread) {
		return nil // what a row says of the system's own memory is no condition of the language
	}
	if err != nil {
		return []string{err.Error()}
	}
	for _, a := range got.Answers {
		if o := a.Replies[0].Outcome; o == ask.Found || o == ask.FoundHere {
			wrong = append(wrong, "some state has: "+a.Text)
		}
	}
	return wrong
}

// TestTables holds `pintle table` against the second reading: each state that it comes to rest in
// is in a row that says what is so there, each row has such a state, and no state is in two rows.
func TestTables(t *testing.T) {
	var sum tableTally
	hold(t, 60, func(c *tape) (string, string) { return differTable(c, &sum) })
	t.Logf("%+v", sum)
	require.Positive(t, min(sum.tables, sum.rows, sum.single, sum.memory))
	require.Less(t, sum.open, sum.designs/3)
}
