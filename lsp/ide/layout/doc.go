// Package layout lays a text out as it is typed and as a whole, folds it, and widens a selection.
package layout
