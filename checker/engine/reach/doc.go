// Package reach decides what a switching system can do: which states it can
// come to, by what shortest list of moves, whether its hardware ever settles,
// whether the outcome depends on which element is faster, and whether all that
// is possible in the time that timers and moving quantities take.
//
// A System is plain data: variables, who moves them and under what conditions.
// It knows nothing of circuits or of the language.
//
// # A move
//
// The system rests in a settled state. Then
//
//  1. exactly one thing happens: an input moves, a clock elapses, a beat
//     toggles, or nothing (idle);
//  2. hardware settles: any excited element may change, one at a time, in any
//     order, until none is excited; clocks start and reset and beats stop in
//     the same way, since they too only follow what they watch;
//  3. every machine takes at most one transition, the first written that can
//     fire, all of them in step on that settled state;
//  4. hardware settles again;
//  5. every edge takes the value that its expression has now.
//
// Idle moves exist so that a machine with an enabled transition steps again;
// one that changes nothing is no move. The reachable states are those after
// step 5, from the initial states, which have settled (step 2) and in which
// every edge has its value (step 5).
//
// # Exact or undecided
//
// Verdicts are over all reachable states. They are computed with decision
// diagrams (package logic), never by sampling; when a limit is met the verdict
// is Undecided and says so. The untimed state space contains everything that
// can happen in time, so it may prove Never; what it finds possible is then
// confirmed against durations (Feasible, and an exact search with clock zones)
// before it counts.
package reach
