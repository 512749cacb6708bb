// Package navigate finds where something is declared, used and of which type, what a file and a folder declare,
// and renames it everywhere or not at all.
package navigate
