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

// codes are the letters of IEC 60757 (Code for designation of colours) for the colours of its
// list.
var codes = map[string]string{
	"black": "BK", "brown": "BN", "red": "RD", "orange": "OG", "yellow": "YE", "green": "GN", "blue": "BU", "violet": "VT",
	"grey": "GY", "white": "WH", "pink": "PK", "gold": "GD", "turquoise": "TQ", "silver": "SR",
}

// ColourCode writes a colour, base and stripe, in the letters of IEC 60757, which stand beside each
// other without a sign between them: `green/yellow` is GNYE. It is "" where the standard has no
// letters for one of them.
func ColourCode(colour string) string {
	out := ""
	for one := range strings.SplitSeq(colour, "/") {
		code := codes[one]
		if code == "" {
			return ""
		}
		out += code
	}
	return out
}

// ReadColour reads a colour as lists of wires have it: in words, in the letters of IEC 60757 with
// or without a sign between base and stripe, or in what is common besides. It guesses nothing:
// a misspelt colour is none.
func ReadColour(text string) (colour string, ok bool) {
	lower := strings.ToLower(strings.TrimSpace(text))
	parts := strings.FieldsFunc(lower, func(r rune) bool { return r == '/' || r == '-' || r == '_' || r == ' ' || r == '+' })
	if len(parts) == 1 && len(lower) == 4 && codeWord(lower) == "" {
		parts = []string{lower[:2], lower[2:]}
	}
	if len(parts) > 1 && IsShade(parts[0]) { // "dark blue", "light green/white"
		parts = append([]string{parts[0] + " " + codeWord(parts[1])}, parts[2:]...)
		if strings.HasSuffix(parts[0], " ") {
			return "", false
		}
	} else if len(parts) > 0 {
		parts[0] = codeWord(parts[0])
	}
	if len(parts) == 0 || len(parts) > 2 || parts[0] == "" {
		return "", false
	}
	if len(parts) == 2 {
		if parts[1] = codeWord(parts[1]); parts[1] == "" {
			return "", false
		}
	}
	return strings.Join(parts, "/"), true
}

// codeWord reads one colour, in a word or in letters.
func codeWord(word string) string {
	if c, ok := Colour(word); ok {
		return c
	}
	return short[word]
}
