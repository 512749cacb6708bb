// Package show says what is shown in and beside the text: the colours of words and of wires, and hints of what
// the text leaves out: defaults, dead bands, currents.
package show
