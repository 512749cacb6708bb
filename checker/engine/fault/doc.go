// Package fault reports what single faults do to a design: it lists the faults that each
// element can have, injects one of them into the design, and answers whether requirements
// hold despite any of them and whether a symptom can come of one.
//
// # When a fault comes
//
// A fault comes once, at any time: before anything is switched on, or at any later moment,
// whatever has pulled in, latched or been counted by then. It stays. So it is not enough
// to look at a design that was faulty from the start: a relay that holds itself in would
// never have pulled in. [Inject] therefore makes a design in which the fault is one more
// thing that may happen from outside, and the questions are those of package system,
// exact over all reachable states, within all tolerances.
//
// Only a requirement that something is `possible` is asked of the design in which the
// fault has been there from the start: before the fault it is possible anyway.
//
// # What a fault is
//
// What an electrical fault does to an element is what circuit.New says of it; injecting
// takes the difference. A sender that is stuck tells one value, any one, whatever its
// quantity is. The joins of a chart are not tried as stuck; see [Charts]. What lies inside an `elsewhere` body is not described, and does not fail;
// nor does a hose that is clamped come off.
//
// # Shorts and fuses
//
// Where a fault would join a feed to ground with no load between and fuses lie in the way,
// one of them blows: the one that carries the highest multiple of its rating, by the
// solution of the circuit with the short, or one of those that carry nearly as much (see
// circuit.FirstToOpen). It is one more thing that settles, in any order with the rest. Until
// it has blown the short does not bite; how far the volts collapse in that moment, and
// what lets go for it, is left out. Where no fuse opens the current flows on, as it does in a
// drive, and what the solution then shows is what is judged; the verdict names the fault as
// unprotected. Where it depends on what else is switched on whether one opens, where the volts that
// the short leaves make hardware switch without end, or where the design can short itself
// besides, what happens after the short is left out of the verdict, which names the fault as
// beyond it.
//
// A fuse through which loads draw so much opens too, with a fault or without, and so does one in
// the way of a short of the design's own; but only once all else is at rest (model.Rule.AtRest): see
// [Protect].
//
// # What a fault costs
//
// Nearly all of it goes into questions to the circuit. So the system with a fault is worked out
// on demand (system.Options.OnDemand): only what the question depends on asks the circuit. And
// the circuit answers case by case (circuit.Circuit.Apart): without the fault, which is one case
// for all faults and is remembered in the Memo of the sweep, with it, and with each fuse that it
// opens blown. A fuse that nothing opens is no switch. What one fault may cost at nominal values
// is bounded by counted work (nominalShare), without that of the sound side, which all faults have
// in common; what is beyond that is undecided, and says so.
package fault
