// Package unit holds exact numbers with their units: what "85 ohm +-10 %",
// "68 degF", "30 kPa gauge" and "18 AWG" mean, and how they are written back.
//
// Three kinds build on each other:
//
//   - [Num] is an exact rational number. No value read from a design ever
//     passes through a float, so "sets at 4200 rpm" stays 4200 and a threshold
//     and the end of a band that are written alike are equal.
//   - [Unit] is a word such as "kPa" with its dimension [Dim] and its exact
//     conversion to the base unit of that dimension.
//   - [Value] is a number with its unit. A point (20 degC is 68 degF) and a
//     difference (5 degC of accuracy is 9 degF) convert differently and are
//     made by [New] and [NewDifference].
//
// Quantities of different dimensions are never compared or converted into each
// other; the attempt is a [*MismatchError] that says why. Pressure measured
// from the surrounding air (gauge) and from nothing (absolute) are different
// dimensions, because the air pressure between them is not known.
//
// Base units: rpm, km/h, V, A, ohm, W, s, m, mm2, degC, kPa, At, turns, deg,
// Hz, L, L/min, g/s, Nm, Ah, kg, m/s2 and %.
//
// Values computed by a solver are floats; [Format] prints those for people.
package unit
