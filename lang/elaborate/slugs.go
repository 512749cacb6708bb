package elaborate

// Slugs are the rules under which Elaborate makes findings, in the order of the
// alphabet. Those that the checker looks at as well are only met here where a design
// could not be made otherwise: a start outside of its range, a coil that lets go above
// where it pulls in.
var Slugs = []string{
	"band-outside-range",
	"clause-twice",
	"condition-cycle",
	"duplicate-name",
	"import-cycle",
	"import-missing",
	"missing-argument",
	"missing-clause",
	"no-ground",
	"option-too-many",
	"part-cycle",
	"threshold-inverted",
	"too-many-fits",
	"undefined-name",
	"unit-mismatch",
	"wrong-kind",
}
