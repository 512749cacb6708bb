// Package table makes decision tables of a design: rows by settings and regions of quantities,
// columns by results, modes, loads and whatever else is asked for. It asks the engine which
// states can be reached ([system.System.Tabulate]) and says it in the design's words.
//
// Each reachable state at rest, at nominal values, falls under exactly one row, and each row has
// such a state. What settings and quantities alone don't decide, a row says with what remembers:
// from which side a quantity came, whether a relay is in. No row can take in another value, or
// do without one of its columns, and no two rows with the same cells can be joined; there may be
// another table with fewer rows.
//
// A cell that is another one in some corner of the tolerances says so, with that corner.
package table
