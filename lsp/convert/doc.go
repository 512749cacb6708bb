// Package convert turns what Pintle says into what the Language Server Protocol says,
// and back. It is the only place that knows how an editor counts columns.
//
// It is lenient in what it takes: a position outside of the text is moved into it, one
// inside of a character to its beginning. What it gives is exact.
package convert
