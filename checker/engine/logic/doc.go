// Package logic holds finite-domain boolean functions: what the checker means
// by a condition over settings, regions of quantities, memories and modes.
//
//   - Space names the variables, each with a finite domain (a switch has two
//     values, a key four, a quantity as many as it has regions).
//   - Expr is an immutable, hash-consed expression over a Space: what a design
//     says, kept small and in a fixed order.
//   - Manager turns expressions into decision diagrams, in which equality is
//     identity, and computes with whole sets of states.
//   - Simplify turns a set of states back into the short condition that a
//     person would write, exact on the states that matter.
//
// Nothing here knows about vehicles, wires or the language. A Space, the
// expressions over it and a Manager belong to one goroutine at a time.
package logic
