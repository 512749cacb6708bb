// Package complete says what could stand at a cursor: names, clauses, words, units, files, as the parser
// expects them there, and what a part takes whose arguments are being written.
package complete
