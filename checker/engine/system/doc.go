// Package system turns a flat design into the exact switching system that it is, and
// answers every question about it in the design's own words.
//
// [Build] makes the variables and the rules of a reach.System out of a model.Design: a
// quantity becomes the regions between the values that the design compares it with, a
// setting its positions, a coil, threshold or powered controller a piece of hardware
// that follows its rules. What a circuit or a fluid path answers in each state is worked
// out beforehand (packages circuit and fluid) and becomes a condition over the same
// variables. Nothing is sampled and nothing is rounded on the way.
//
// # What becomes of what
//
//   - A quantity moves to a neighbouring region, a setting to any position, or to a
//     neighbouring one if its positions are in order; a position that springs back can
//     go where it springs to. Assumptions are guards on these moves, or invariants.
//   - A timer that `runs while` is an on-delay, an `in the last` an off-delay. One that
//     `starts when`, and an `in the last` that losing power stops, is a piece of hardware
//     with a clock of its own that measures how long it has been running.
//   - A beat of equal halves is a beat; with unequal ones it is a phase with a clock for
//     each half. It starts on.
//   - A controller's modes go back to their start without power, like hardware: at once,
//     in the middle of settling. A machine, however, moves only at its step. So every mode
//     is kept in two copies and a piece of hardware, the disowner, says which copy
//     counts. Losing power turns it over: the machine then stands in the copy that does
//     not count and reads as in its start mode, until a transition takes it from there
//     into a mode of the copy that does.
//   - A contact made `sometimes` is an input that moves as it likes and starts either way.
//
// # What could not be read
//
// A condition that holds something that could not be understood (model.CondUnknown, or
// anything marked Broken) becomes a variable of which nothing is known. Any question in
// whose cone such a variable lies is answered Unknown: nothing is ever concluded from a
// broken statement. A question that met a limit is Undecided, and says which.
//
// # The tolerance
//
// Verdicts are first reached with every number at its nominal value and filaments warm.
// If some answer of a circuit in the question's cone depends on a tolerance, a supply's
// range or the warmth of a filament, the question is decided again in every corner that
// matters; a verdict that is not the same in all of them holds nominally only, and names
// the corner.
package system
