package plot

// Chart is what is drawn: lanes, one below the other, over one axis of time.
type Chart struct {
	Title string
	// About describes in words what the drawing shows.
	About string
	// From and To are the ends of the time axis, in s.
	From, To float64
	Lanes    []Lane
	// Marks are moments that all lanes show: steps of a drive, for example.
	Marks []Mark
}

// Lane is one line of a quantity, or bars of states; either Points or Bars is set.
type Lane struct {
	Name string
	Unit string // of the line: "degC"
	// Points are the line, in the order of time. Where Step is set, a value holds until the
	// next point; else the line is straight between the points.
	Points []Point
	Step   bool
	// Levels are lines across: the point at which a threshold sets, for example.
	Levels []Level
	Bars   []Bar
}

// Point is a value at a time, in s. Gap says that nothing is known between the point before
// and this one.
type Point struct {
	At, Value float64
	Gap       bool
}

// Level is a value that the axis of a lane shows besides its ends.
type Level struct {
	Value float64
	Label string
}

// Bar is a row of states; several of a lane stand below each other, to be compared.
type Bar struct {
	Label string // "described", "recorded"; empty where there is one only
	Spans []Span
}

// Span is a state and from when to when it was so, in s. Odd states are hatched: a departure,
// a failure.
type Span struct {
	From, To float64
	State    string
	Odd      bool
}

// Mark is a moment with a name.
type Mark struct {
	At    float64
	Label string
}
