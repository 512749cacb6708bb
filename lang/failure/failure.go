// Package failure is the one table of the modes in which things fail: the words of each
// mode, and which kinds of things fail in it. The parser takes its words from here, the
// elaborator checks what a design names against it, and the checker lists the single
// faults of a design by it. What a mode does to a circuit is said in
// checker/engine/circuit/overlay.go.
package failure

import (
	"slices"
	"strings"
)

// Mode is a mode in which a thing fails, in the words of the language: "stuck open".
type Mode string

// The modes. Swapped is that of two connectors; `swap C1 with C2` names it.
const (
	Open      Mode = "open"
	Shorted   Mode = "shorted"
	ToGround  Mode = "to ground"
	ToFeed    Mode = "to feed"
	Off       Mode = "off"
	Blown     Mode = "blown"
	StuckMade Mode = "stuck made"
	StuckOpen Mode = "stuck open"
	StuckOn   Mode = "stuck on"
	StuckOff  Mode = "stuck off"
	StuckShut Mode = "stuck shut"
	Silent    Mode = "silent"
	Stuck     Mode = "stuck"
	Swapped   Mode = "swapped"
)

// row is one mode: how a thing is called that has failed so, what happens when it does,
// and the kinds of things that can. A mode that begins with the words of another one
// stands above it, as the parser takes the first that fits.
type row struct {
	mode         Mode
	state, event string
	kinds        string
}

var table = []row{
	{Open, "broken", "breaks", "wire coil load resistor diode"},
	{Shorted, "shorted", "is shorted", "coil load resistor diode"},
	{ToGround, "shorted to ground", "is shorted to ground", "wire coil load resistor diode"},
	{ToFeed, "shorted to a feed", "is shorted to a feed", "wire coil load resistor diode"},
	{Off, "off", "comes off", "connector hose"},
	{Blown, "blown", "blows", "fuse"},
	{StuckMade, "welded", "welds", "contact"},
	{StuckOpen, "stuck open", "sticks open", "contact passage"},
	{StuckOn, "stuck on", "sticks on", "driver"},
	{StuckOff, "stuck off", "sticks off", "driver"},
	{StuckShut, "stuck shut", "sticks shut", "passage"},
	{Silent, "silent", "falls silent", "sender"},
	{Stuck, "stuck", "sticks", "sender"},
	{Swapped, "swapped", "is swapped", ""},
}

// Modes returns those that a design names by their words, in the order in which they are
// tried.
func Modes() []Mode {
	var out []Mode
	for _, r := range table {
		if r.kinds != "" {
			out = append(out, r.mode)
		}
	}
	return out
}

// Of returns the modes in which things of a kind fail, the kind named by the word of its
// statements: "wire". It is empty for what can't fail.
func Of(kind string) []Mode {
	var out []Mode
	for _, r := range table {
		if slices.Contains(strings.Fields(r.kinds), kind) {
			out = append(out, r.mode)
		}
	}
	return out
}

// State is how a thing is called that has failed in the mode: "welded".
func (m Mode) State() string { return m.row().state }

// Event is what happens when a thing fails in the mode: "welds".
func (m Mode) Event() string { return m.row().event }

func (m Mode) row() row {
	if i := slices.IndexFunc(table, func(r row) bool { return r.mode == m }); i >= 0 {
		return table[i]
	}
	return row{}
}
