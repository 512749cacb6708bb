package model

import "pintle/lang/unit"

// Controller is a fit that acts only on what it reads and only while powered. One that
// is Broken may have any node for a pin that could not be understood.
type Controller struct {
	Info
	Plus, Minus NodeID
	WorksFrom   unit.Value
	Draws       float64
	Powered     MemoryID
	Draw        ElementID // None when it draws nothing
}

// Reading is a controller's input.
type Reading struct {
	Info
	Controller  ControllerID
	Pin         NodeID
	Sender      bool       // reads a sender; otherwise volts
	CountsAs    unit.Value // sender: while disconnected
	HasCountsAs bool
	CountsHigh  int // volts: +1 high, 0 low, -1 not said
	Pull        ElementID
	LowBelow    unit.Value
	HighAbove   unit.Value
	Level       MemoryID   // volts: 0 low, 1 high
	Quantity    QuantityID // sender: the one quantity that wired senders tell; None if none or several kinds
	Senders     []SenderID // that can ever be joined to it in the whole design
}

// Driver is a controller's output.
type Driver struct {
	Info
	Controller ControllerID
	Element    ElementID
	Pin, From  NodeID // the switched pin, and the ground or feed pin behind it
	Feeds      bool   // feeds; otherwise earths
	When       *Cond
	On         *Cond // When and powered
	Limit      float64
	Clamped    bool
}

// Sender puts a quantity on a pin.
type Sender struct {
	Info
	Pin         NodeID
	Quantity    QuantityID
	Accuracy    unit.Value
	HasAccuracy bool
}
