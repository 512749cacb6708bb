// Package lens offers what can be asked of a statement, and answers it: runs of drives, lists of faults, the
// current paths of a state, uses.
package lens
