package syntax_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"pintle/lang/schema"
	"pintle/lang/syntax"
	"pintle/lang/unit"
)

// stmt parses one statement inside a part and wants no finding.
func stmt(t *testing.T, text string, id schema.ID) *syntax.Stmt {
	t.Helper()
	f := parse("part P {\n" + text + "\n}\n")
	require.Empty(t, f.Findings)
	return find(f, id)
}

func cond(t *testing.T, text string) *syntax.Cond {
	t.Helper()
	f := parse("condition c: " + text + "\n")
	require.Empty(t, f.Findings)
	return f.Stmts[0].Clause(schema.ConditionIs).Cond("cond")
}

func TestQuantities(t *testing.T) {
	s := stmt(t, "coil c: 85 to 86, 85Ω ±10%, pulls in at limit", schema.Coil)
	q := s.Clause(schema.CoilResistance).Quantity("resistance")
	require.Equal(t, "85 ohm", q.Value.String())
	require.True(t, q.HasTol)
	require.Equal(t, "+-10 %", q.Tol.String())
	require.Equal(t, "limit", s.Clause(schema.CoilPullsIn).Quantity("volts").Param.String())
	require.Equal(t, "85", s.Clause(schema.CoilEnds).Ref("a").String())

	s = stmt(t, "load l: 1 to 2, 0.1 A to 2 A at 12V, lit from 60%", schema.Load)
	q = s.Clause(schema.LoadRated).Quantity("rated")
	require.True(t, q.Ranged)
	require.Equal(t, "0.1 A", q.Value.String())
	require.Equal(t, "2 A", q.Hi.String())

	s = stmt(t, "quantity p: -80 to 20 kPa gauge, changes at most 5 kPa per s", schema.Quantity)
	q = s.Clause(schema.QuantityRange).Quantity("range")
	require.Equal(t, unit.GaugePressure, q.Value.Dim(), "a range writes its unit once")
	require.Equal(t, "-80 kPa gauge", q.Value.String())

	s = stmt(t, "sender x: at 1, tells coolant, accuracy 9 degF", schema.Sender)
	q = s.Clause(schema.SenderAccuracy).Quantity("by")
	require.True(t, q.Value.Difference)
	require.True(t, q.Value.N.Equal(unit.Int(5)))

	s = stmt(t, "wire w: each plug.1 to bar, light green/white, 2/0 AWG, 0.4 m", schema.Wire)
	require.True(t, s.Clause(schema.WireEnds).Ref("from").Each)
	require.Equal(t, "light green/white", s.Clause(schema.WireColour).Word("colour").Text)
	require.Equal(t, "2/0 AWG", s.Clause(schema.WireArea).Quantity("area").Value.String())
	s = stmt(t, "wire w: a to b, gray, run", schema.Wire)
	require.Equal(t, "grey", s.Clause(schema.WireColour).Word("colour").Text)
	require.Equal(t, "run", s.Clause(schema.WireByArgument).Ref("value").String())
}

func TestCalls(t *testing.T) {
	s := stmt(t, "fit x: 4 of short.Plug(limit 10 A, made when key is any of run, crank, sense shaft, ways 3)", schema.Fit)
	c := s.Clause(schema.FitMany)
	require.Equal(t, 4, c.Count("count").N)
	call := c.Call("part")
	require.Equal(t, "short.Plug", call.Part.String())
	require.Len(t, call.Args, 4)
	require.Equal(t, "10 A", call.Args[0].Quantity.Value.String())
	require.Len(t, call.Args[1].Cond.Words, 2)
	require.Equal(t, "shaft", call.Args[2].Ref.String())
	require.Equal(t, 3, call.Args[3].Count.N)
}

// A list after `any of` ends where something else begins.
func TestGreedyLists(t *testing.T) {
	s := stmt(t, "driver d: earths 1 to 2, when key is any of run, crank and fast, up to 1 A", schema.Driver)
	c := s.Clause(schema.DriverWhen).Cond("cond")
	require.Equal(t, syntax.CondAnd, c.Op)
	require.Len(t, c.Kids[0].Words, 2)
	require.NotNil(t, s.Clause(schema.DriverUpTo))

	s = stmt(t, "driver d: earths 1 to 2, when key is any of run, crank, clamped", schema.Driver)
	require.Len(t, s.Clause(schema.DriverWhen).Cond("cond").Words, 2)
	require.True(t, s.Has(schema.DriverClamped))

	f := parse("connector C: 2 way, plugs onto K1.1, K1.2, grey\n")
	require.Empty(t, f.Findings)
	require.Len(t, f.Stmts[0].Clause(schema.ConnectorPlugsOnto).Refs("pins"), 2)
	require.Equal(t, "grey", f.Stmts[0].Clause(schema.ConnectorColour).Word("colour").Text)

	f = parse("require r: never key is any of run, crank, despite any one fault\n")
	require.Empty(t, f.Findings)
	require.True(t, f.Stmts[0].Has(schema.RequireDespite))

	f = parse("drive d {\n step: see key is any of run, crank at end, see fast once x is any of a, b for 2 s\n}\n")
	require.Empty(t, f.Findings)
	require.NotNil(t, f.Stmts[0].Body[0].Clause(schema.StepSeeEnd))
	once := f.Stmts[0].Body[0].Clause(schema.StepSeeOnce).Cond("once")
	require.Equal(t, syntax.CondFor, once.Op)
	require.Len(t, once.Kids[0].Words, 2)
}

func TestConditions(t *testing.T) {
	c := cond(t, "a is b and (c or not d) and e is not f")
	require.Equal(t, syntax.CondAnd, c.Op)
	require.Len(t, c.Kids, 3)
	require.Equal(t, syntax.CondOr, c.Kids[1].Op)
	require.Equal(t, syntax.CondNot, c.Kids[1].Kids[1].Op)
	require.Equal(t, syntax.PredIsNot, c.Kids[2].Pred)

	c = cond(t, "(not fast) for 180 ms to 220 ms")
	require.Equal(t, syntax.CondFor, c.Op)
	require.Equal(t, "220 ms", c.Dur.Hi.String())
	require.Equal(t, syntax.CondInLast, cond(t, "fast in the last 5 s").Op)
	require.Equal(t, syntax.CondBegins, cond(t, "(key is run) begins").Op)
	require.Equal(t, syntax.CondStays, cond(t, "(a and b) stays").Op)
	require.Equal(t, syntax.CondNot, cond(t, "not (fast for 2 s)").Op)
	require.Equal(t, syntax.CondAlways, cond(t, "always").Op)

	c = cond(t, "coolant between 80 and 90 degC")
	require.Equal(t, syntax.PredBetween, c.Pred)
	require.Equal(t, "80 degC", c.Value.Value.String())
	require.Equal(t, "90 degC", c.Value.Hi.String())
	require.Equal(t, syntax.PredAtLeast, cond(t, "coolant at least 90 degC").Pred)

	c = cond(t, "volts K1.85 to K1.86 above 6 V")
	require.Equal(t, syntax.VoltsBetween, c.Subject.Kind)
	require.Equal(t, "K1.86", c.Subject.B.String())
	require.Equal(t, syntax.VoltsAt, cond(t, "volts at S1.2 below 1 V").Subject.Kind)
	require.Equal(t, syntax.CurrentThrough, cond(t, "current through W3 above 2 A").Subject.Kind)
	require.Equal(t, syntax.SubjectEvery, cond(t, "every plug.element is glowing").Subject.Kind)
	require.Equal(t, syntax.SubjectAny, cond(t, "any plug.element is glowing").Subject.Kind)

	// The words of the language are names where they stand as names do.
	require.Equal(t, "volts", cond(t, "volts above 6 V").Subject.A.String())
	require.Equal(t, "current", cond(t, "current is on").Subject.A.String())
	require.Equal(t, "any", cond(t, "any is on").Subject.A.String())
	require.Equal(t, "always", cond(t, "always is on").Subject.A.String())
}

func TestHeads(t *testing.T) {
	f := parse("use \"parts/a.pintle\" as a\nmodes m: starts in one {\n mode one, two\n from one, two to one: when x\n from any to two: when y\n}\n" +
		"symptom s \"it \\ hums\": x\naccept wire-colours-repeat: on C12, because \"why\", until 2027-06-30\nonly when side is left {\n ground g\n}\n")
	require.Empty(t, f.Findings)
	require.Equal(t, "parts/a.pintle", f.Stmts[0].Head().Text.Text)
	require.Equal(t, "a", f.Stmts[0].Name().Text)
	from := f.Stmts[1].Body[1].Head()
	require.Len(t, from.Names, 2)
	require.Equal(t, "one", from.To.String())
	require.True(t, f.Stmts[1].Body[2].Head().Any)
	require.Equal(t, `it \ hums`, f.Stmts[2].Head().Text.Text)
	require.Equal(t, "wire-colours-repeat", f.Stmts[3].Name().Text)
	require.Equal(t, 30, f.Stmts[3].Clause(schema.AcceptUntil).Date("date").Day)
	require.Equal(t, syntax.PredIs, f.Stmts[4].Head().Cond.Pred)
	require.Equal(t, schema.InTop, f.Stmts[4].Body[0].In, "the body of `only when` is what it stands in")

	s := stmt(t, "pin 30, 87a, B+, D-, x", schema.Pin)
	require.Len(t, s.Head().Names, 5)
	require.Equal(t, "B+", s.Head().Names[2].Text)
	s = stmt(t, "powered 15 to 31: works from 7 V", schema.Powered)
	require.Equal(t, "31", s.Head().To.String())
}

func TestDoc(t *testing.T) {
	f := parse("# not this\n\n## One.\n##  Two.\nground g # no\n## Lost.\n\nnode a\n## Far.\n# near\nnode b\nfit x: { ## behind\n pin 1\n}\n")
	require.Empty(t, f.Findings)
	require.Equal(t, "One.\n Two.", f.Stmts[0].Doc())
	require.Empty(t, f.Stmts[1].Doc())
	require.Empty(t, f.Stmts[2].Doc())
	require.Empty(t, f.Stmts[3].Body[0].Doc())
}
