package kinds

import "slices"

// Colours of wires and connector bodies, and what may stand before them.
var (
	colours = []string{
		"beige", "black", "blue", "brown", "clear", "gold", "green", "grey", "ivory",
		"magenta", "natural", "orange", "pink", "purple", "red", "silver", "tan",
		"turquoise", "violet", "white", "yellow",
	}
	shades = []string{"dark", "light"}
	// spellings are read as the colour beside them.
	spellings = map[string]string{"gray": "grey"}
)

// Colours lists the plain colours in alphabetical order.
func Colours() []string { return slices.Clone(colours) }

// Colour reads a colour word and gives its canonical spelling.
func Colour(word string) (string, bool) {
	if s, ok := spellings[word]; ok {
		return s, true
	}
	_, ok := slices.BinarySearch(colours, word)
	return word, ok
}

// IsShade tells whether a word may stand before a colour: `light green`.
func IsShade(word string) bool { return slices.Contains(shades, word) }
