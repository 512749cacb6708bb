// Package circuit solves the electrical side of a flat design: which node stands at
// what voltage, which current runs where, and what that answers to the questions
// that the design's memories and claims ask (model.AtomLive, AtomGrounded,
// AtomFloating, AtomJoined, AtomMeasure).
//
// A [Circuit] belongs to one design and one [Overlay] of faults. What can change in
// it are its switches: the distinct conditions under which elements conduct. As no
// such condition ever asks about the circuit itself (package model), every answer is
// a function of the switches, and of nothing else once a [Corner] fixes the supplies,
// the tolerances and the warmth of filaments. There are two ways to ask:
//
//   - [Circuit.Solve] gives the whole [Solution] of one state of all switches;
//   - [Circuit.Decide] gives the answer to one [Question] as a [Decision], a diagram
//     over the switches that matter to it. It holds for all states at once.
//
// # Conventions
//
// Current is positive from A to B of an element. Volts are against ground in a piece
// that is joined to ground, otherwise against a node of that piece. Where two points
// have no common piece an instrument between them decides: see [Solution.Measure].
//
// A filament is warm unless a corner says otherwise: that is its steady state.
//
// # Exact or undecided
//
// A solution is exact for its state and corner. A decision is the same for all states:
// a few switches in the islands of a question are simply tried out. More are not,
// for one battery with its inside resistance joins everything on a vehicle into one
// island. There the part that a question asks about is cut out at the rails on which much
// depends (local.go): bounds of these, the same ones for all questions (bound.go, draws.go,
// feeds.go), stand for the rest, and every state of the part's own few switches is tried.
// Only where that leaves the answer open are more switches looked at, next to the rail and
// heaviest first (branch.go), up to the steps of Limit. What stays open after that is
// undecided, and says so. What tolerances, the range of supplies and the
// warmth of filaments do is found by [Circuit.WorstCase] in the same way (worst_case.go, ascent.go).
// A [Memo] carries decisions from one circuit to others that are alike in an island.
//
// # Live, grounded, floating, joined
//
// These ask for metal, not for volts. Live spreads from the plus of each supply that
// is present through metal elements that conduct, and through diodes from anode to
// cathode, but never into ground; grounded spreads from ground the other way through diodes, so that it
// means "a current could run from here to ground". Floating is neither. Joined goes
// through metal only.
package circuit
