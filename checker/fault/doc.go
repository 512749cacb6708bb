// Package fault tells what single faults do to a design: it lists the faults that each
// element can have, weaves one of them into the design, and answers whether requirements
// hold despite any of them and whether a symptom can come of one.
//
// # When a fault comes
//
// A fault comes once, at any time: before anything is switched on, or at any later moment,
// whatever has pulled in, latched or been counted by then. It stays. So it is not enough
// to look at a design that was faulty from the start: a relay that holds itself in would
// never have pulled in. [Weave] therefore makes a design in which the fault is one more
// thing that may happen from outside, and the questions are those of package system,
// exact over all reachable states, within all tolerances.
//
// Only a requirement that something is `possible` is asked of the design in which the
// fault has been there from the start: before the fault it is possible anyway.
//
// # What a fault is
//
// What an electrical fault does to an element is what circuit.New says of it; weaving
// takes the difference. A sender that is stuck tells one value, any one, whatever its
// quantity is. What lies inside an `elsewhere` body is not described, and does not fail;
// nor does a hose that is clamped come off.
//
// # Shorts and fuses
//
// Where a fault joins a feed to ground with no load between, through a fuse that then
// carries at least twice its rating, the fuse opens: as one more thing that settles, in
// every order with the rest, so that what was held in by the collapsing volts is seen to
// let go. Where no fuse opens, the wire burns somewhere, and what comes then is beyond
// what a description of the switching can tell: states in which a supply is shorted
// outright are left out of the verdict, which names the fault as beyond it.
package fault
