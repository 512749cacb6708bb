// Package oracle reads the language a second time. It has tests only: they draw whole
// designs as text, work out what each of them does with an interpreter that was written
// from the reference (lang/README.md), and hold that against what the checker finds.
//
// The interpreter shares no code with the checker and never sees its model: a drawing
// makes the text and what it means side by side. Networks are solved with dense matrices
// and all combinations of valves; states are visited one by one; time runs in whole ticks
// of 100 ms, which loses nothing where all durations are whole numbers of ticks and
// include their ends (Henzinger, Manna, Pnueli: What good are digital clocks?, 1992).
//
// What fails is made shorter by leaving choices out, and printed.
package oracle
