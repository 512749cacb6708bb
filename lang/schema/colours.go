package schema

import (
	"slices"
	"strings"
)

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

// short are colours as labels and diagrams abbreviate them (two letters as in IEC 60757, and
// what is common besides, from memory).
var short = map[string]string{
	"bk": "black", "blk": "black", "bn": "brown", "brn": "brown", "br": "brown", "rd": "red", "og": "orange", "org": "orange", "or": "orange",
	"ye": "yellow", "yel": "yellow", "gn": "green", "grn": "green", "bu": "blue", "blu": "blue", "vt": "violet", "vio": "violet", "vi": "violet",
	"gy": "grey", "gry": "grey", "wh": "white", "wht": "white", "pk": "pink", "pnk": "pink", "tq": "turquoise", "gd": "gold", "sr": "silver",
}

// ColourMeant reads a colour that is not written as it should be: in capitals, abbreviated,
// misspelt by a letter or two, or with its stripe behind another sign: "blue-white", "BK". It
// is "" for what is none.
func ColourMeant(word string) string {
	lower := strings.ToLower(word)
	for _, by := range []string{"/", "-", "_"} {
		if base, stripe, ok := strings.Cut(lower, by); ok {
			b, s := oneMeant(base), oneMeant(stripe)
			switch {
			case s != "" && IsShade(base):
				return base + " " + s
			case b != "" && s != "":
				return b + "/" + s
			}
			return ""
		}
	}
	for _, shade := range shades {
		if c := oneMeant(strings.TrimPrefix(lower, shade)); c != "" && strings.HasPrefix(lower, shade) {
			return shade + " " + c
		}
	}
	return oneMeant(lower)
}

func oneMeant(word string) string {
	if c, ok := Colour(word); ok {
		return c
	}
	if c := short[word]; c != "" {
		return c
	}
	return SuggestColour(word)
}

// IsShade reports whether a word may stand before a colour: `light green`.
func IsShade(word string) bool { return slices.Contains(shades, word) }
