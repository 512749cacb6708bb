// Package dc solves direct-current networks of resistors, sources with inside
// resistance, diodes with a forward drop, and switches.
package dc
