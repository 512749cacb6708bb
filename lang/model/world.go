package model

import (
	"pintle/lang/diag"
	"pintle/lang/unit"
)

// Port is an end of a fluid path.
type Port struct {
	Info
	Medium    string
	OpenToAir bool
	Origin    OriginID // the port that an origin itself is, or None
}

// Origin is a source of a fluid.
type Origin struct {
	Info
	Port    PortID
	Medium  string
	Present *Cond // nil: always
}

// Passage joins two ports: inside a part, or a hose.
type Passage struct {
	Info
	A, B    PortID
	Open    *Cond // nil: always
	OneWay  bool  // from A to B only
	Hose    bool
	Clamped bool
}

// Quantity moves continuously.
type Quantity struct {
	Info
	Lo, Hi   unit.Value
	Start    unit.Value
	Rate     float64 // base units per second, 0: no limit
	StartSet bool
}

// Setting is put in a position from outside.
type Setting struct {
	Info
	Positions []string
	PosPlaces []diag.Place
	InOrder   bool
	Springs   []Spring
	Start     int
}

// Spring says where a position returns to when it is let go.
type Spring struct{ From, To int }

// Option is a variant.
type Option struct {
	Info
	Positions []string
	Chosen    int
}
