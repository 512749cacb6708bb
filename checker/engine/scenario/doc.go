// Package scenario runs a design in real time: it moves the inputs as a scenario says,
// lets quantities ramp and timers run, and holds what comes out against what the
// scenario expects to see.
//
// It asks the same flat model the same questions as the search over all states
// (packages reach and system) and follows the same rules of a move: one thing moves at
// a time, hardware settles, every machine takes at most one transition, hardware
// settles again. What the search leaves open is fixed here: the moment at which things
// happen, and the durations that a design gives as intervals (see Pace).
//
// # Time and values
//
// Time is counted in whole nanoseconds from the start of a run. A quantity is an exact
// number. Only the points at which the design compares it make a difference, so a ramp
// is followed from one such point to the next: first the quantity stands exactly on the
// point, then an infinitesimal step past it. A threshold that sets at 4200 rpm sees the
// point itself, one that sets above 4200 rpm the step past it.
//
// A quantity that is set, rather than ramped, runs through the same points in no time; a
// setting whose positions are in order passes through those between. So a drive can do
// nothing that the search can't.
package scenario
