package plot

// What everything is drawn in, as sRGB.
const (
	paper = "#ffffff"
	ink   = "#1f2933" // texts, ticks
	rule  = "#7b8794" // lines of the axes and of levels
	stray = "#b3261e" // hatching and outline of what is odd
)

// Lines take these in turn. They differ in lightness too, so that a copy in grey keeps them
// apart where two lanes are compared.
var strokes = [...]string{"#0b5394", "#a3490a", "#1b6e4f", "#6a3d9a", "#3d4f60"}

// Bars take these shades in turn, by the order in which states appear. Neighbours in the list
// differ in lightness by enough to be seen in grey; all carry dark text.
var shades = [...]string{"#e4e9ee", "#a9c6df", "#f4d9b0", "#b9d8bd", "#dcc7e6", "#f0e9a8"}
