package report

import (
	"io"

	"pintle/checker/question/compare"
	"pintle/checker/run"
)

// The layout of the JSON output.
type (
	compareDocument struct {
		Version  int           `json:"version"`
		Same     bool          `json:"same"`
		Files    []compareFile `json:"files"`
		Failures []failureJSON `json:"failures"`
	}
	compareFile struct {
		Old      string           `json:"old,omitempty"`
		New      string           `json:"new,omitempty"`
		Title    string           `json:"title,omitempty"`
		Designs  []compareDesign  `json:"designs"`
		Findings []compareFinding `json:"findings"`
	}
	compareFinding struct {
		Rule string `json:"rule"`
		Old  int    `json:"old"`
		New  int    `json:"new"`
	}
	compareDesign struct {
		Design      string              `json:"design,omitempty"`
		Outcome     string              `json:"outcome"`
		Why         string              `json:"why,omitempty"`
		Outputs     int                 `json:"outputs"`
		Corners     int                 `json:"corners"`
		Inputs      []string            `json:"inputs"`
		Lost        []compareOutput     `json:"lost"`
		Gained      []compareOutput     `json:"gained"`
		Differences []compareDifference `json:"differences"`
		Undecided   []compareOpen       `json:"undecided"`
		Durations   []string            `json:"durations"`
		Claims      []compareClaim      `json:"claims"`
		Changes     []compareChange     `json:"values"`
		Renamed     []compareRename     `json:"renamed"`
	}
	compareClaim struct {
		compareOutput
		Change    string `json:"change"`
		NewName   string `json:"new_name,omitempty"`
		Old       string `json:"old,omitempty"`
		New       string `json:"new,omitempty"`
		OldCorner string `json:"old_corner,omitempty"`
		NewCorner string `json:"new_corner,omitempty"`
		OldText   string `json:"old_text,omitempty"`
		NewText   string `json:"new_text,omitempty"`
	}
	compareChange struct {
		compareOutput
		What string `json:"what,omitempty"`
		Old  string `json:"old,omitempty"`
		New  string `json:"new,omitempty"`
	}
	compareRename struct {
		Kind string `json:"kind"`
		Old  string `json:"old"`
		New  string `json:"new"`
	}
	compareOutput struct {
		Kind string `json:"kind"`
		Name string `json:"name"`
	}
	compareOpen struct {
		compareOutput
		Corner string `json:"corner,omitempty"`
		Why    string `json:"why"`
	}
	compareDifference struct {
		compareOutput
		NewName    string   `json:"new_name,omitempty"`
		Was        string   `json:"was,omitempty"`
		Is         string   `json:"is,omitempty"`
		With       string   `json:"with,omitempty"`
		Sure       bool     `json:"sure"`
		When       string   `json:"when,omitempty"`
		Corner     string   `json:"corner,omitempty"`
		Moves      []string `json:"moves"`
		Drive      string   `json:"drive,omitempty"`
		DriveAfter string   `json:"drive_in_new_names,omitempty"`
		Note       string   `json:"note,omitempty"`
		SameAs     *int     `json:"same_states_as,omitempty"`
	}
)

func compareJSON(w io.Writer, r *run.CompareResult) error {
	out := compareDocument{Version: compareVersion, Same: r.Same(), Files: []compareFile{}, Failures: []failureJSON{}}
	for _, f := range r.Failures {
		out.Failures = append(out.Failures, failureJSON{f.File, f.What})
	}
	for i := range r.Files {
		f := &r.Files[i]
		one := compareFile{Old: f.Old, New: f.New, Title: f.Title, Designs: []compareDesign{}, Findings: []compareFinding{}}
		for _, c := range f.Findings {
			one.Findings = append(one.Findings, compareFinding(c))
		}
		for k := range f.Designs {
			one.Designs = append(one.Designs, comparedJSON(&f.Designs[k]))
		}
		out.Files = append(out.Files, one)
	}
	return encodeJSON(w, out, "  ")
}

func comparedJSON(d *run.ComparedDesign) compareDesign {
	out := compareDesign{
		Design: d.Design, Outcome: outcomeOf(d), Why: d.Why, Outputs: d.Outputs, Corners: d.Corners, Inputs: append([]string{}, d.Inputs...),
		Lost: outputsJSON(d.Lost), Gained: outputsJSON(d.Gained), Differences: []compareDifference{}, Undecided: []compareOpen{},
		Durations: append([]string{}, d.Durations...), Claims: []compareClaim{}, Changes: []compareChange{}, Renamed: []compareRename{},
	}
	for i := range d.Claims {
		out.Claims = append(out.Claims, claimJSON(&d.Claims[i]))
	}
	for _, c := range d.Changes {
		out.Changes = append(out.Changes, compareChange{compareOutput{c.Kind, c.Name}, c.What, c.Old, c.New})
	}
	for _, r := range d.Renamed {
		out.Renamed = append(out.Renamed, compareRename(r))
	}
	for i := range d.Differences {
		x := &d.Differences[i]
		var same *int
		if x.As >= 0 {
			same = &x.As
		}
		out.Differences = append(out.Differences, compareDifference{
			SameAs:        same,
			compareOutput: compareOutput(x.Output), NewName: x.NewName, Was: x.Was, Is: x.Is, With: x.With, Sure: x.Sure, When: x.When,
			Corner: x.Corner, Moves: texts(x.Moves), Drive: x.Drive, DriveAfter: x.DriveAfter, Note: x.Note,
		})
	}
	for _, o := range d.Open {
		out.Undecided = append(out.Undecided, compareOpen{compareOutput(o.Output), o.Corner, o.Why})
	}
	return out
}

// outcomeOf is how the behaviour compares, in one word: same, different, undecided. A claim may stand
// otherwise all the same, as one does that holds within fewer tolerances.
func outcomeOf(d *run.ComparedDesign) string {
	switch {
	case d.Why == "" && d.Result.Same():
		return "same"
	case len(d.Differences)+len(d.Gained)+len(d.Lost)+len(d.Inputs) == 0:
		return "undecided"
	}
	return "different"
}

func outputsJSON(os []compare.Output) []compareOutput {
	out := []compareOutput{}
	for _, o := range os {
		out = append(out, compareOutput(o))
	}
	return out
}

func claimJSON(c *run.ClaimChange) compareClaim {
	out := compareClaim{compareOutput: compareOutput{c.Kind, c.Name}, OldText: c.OldText, NewText: c.NewText}
	if c.Old != nil {
		out.Old, out.OldCorner = c.Old.Said(), c.Old.Corner
	}
	if c.New != nil {
		out.New, out.NewCorner = c.New.Said(), c.New.Corner
		if c.Old != nil && c.New.Name != c.Old.Name {
			out.NewName = c.New.Name
		}
	}
	switch {
	case c.Old == nil:
		out.Change = "gained"
	case c.New == nil:
		out.Change = "lost"
	default:
		out.Change = map[run.Standing]string{run.StandsAsBefore: "reworded", run.Stronger: "strengthened", run.Weaker: "weakened", run.Otherwise: "otherwise"}[c.Stands()]
	}
	return out
}
