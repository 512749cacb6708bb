package files

// Limits bound what is taken in, so that no folder, however it came to be, costs more
// memory or time than there is. Each that is met is reported, and the rest goes on.
type Limits struct {
	// Text and Settings are the most bytes of a design and of a settings file.
	Text, Settings int
	// Used is the most files that one design is made of, and Total the most bytes of their
	// texts.
	Used, Total int
	// Entries is the most files and folders that one folder may hold, Walk the most that
	// are looked at below one, and Found the most designs that are taken from there.
	Entries, Walk, Found int
	// Bytes is the most bytes of the designs that walks take in.
	Bytes int64
	// Findings is the most findings of one rule in one file, AllFindings the most of all
	// files together, from which on no further file is checked.
	Findings, AllFindings int
}

// CheckLimits are those of the command line. A tree, with the design that follows from it, takes
// up to six hundred times its text; a loom of 5000 lines has 200 kB.
func CheckLimits() Limits {
	return Limits{
		Text: 1 << 20, Settings: 256 << 10, Used: 5000, Total: 2 << 20,
		Entries: 200_000, Walk: 2_000_000, Found: 100_000, Bytes: 1 << 30,
		Findings: 1000, AllFindings: 100_000,
	}
}

// ServeLimits are those of a language server, which holds what it read for as long as
// the editor runs.
func ServeLimits() Limits {
	return Limits{
		Text: 512 << 10, Settings: 128 << 10, Used: 1000, Total: 2 << 20,
		Entries: 50_000, Walk: 200_000, Found: 25_000, Bytes: 64 << 20,
		Findings: 200, AllFindings: 10_000,
	}
}
