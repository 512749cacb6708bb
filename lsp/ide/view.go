package ide

import (
	"context"
	"slices"
	"strings"

	"pintle/checker/rule"
	"pintle/checker/run"
	"pintle/lang/diag"
	"pintle/lang/elaborate"
	"pintle/lang/model"
	"pintle/lang/name"
	"pintle/lang/source"
	"pintle/lang/syntax"
)

// View is one document as it stood when it was asked about, with all that can be known
// of it. It never changes; answers that belong to one question must come from one View.
//
// What costs more than parsing is worked out on demand, by the methods that take a
// context, and shared by all views until a text changes. Their error is that of the
// context unless said otherwise: return it as it is.
type View struct {
	// Tree of the document. Tree.Src is its text; the name of that is an absolute path
	// with slashes, or, for a text that is in no file, its URI.
	Tree *syntax.File
	// Root is the root in which the document is best understood: itself if it has designs
	// of its own, else one that uses it.
	Root *Root
	// Roots are all roots that the document is part of: itself first, then the files of
	// the workspace that use it, however indirectly, by name.
	Roots []*Root
	// Workspace are the files around it.
	Workspace   Workspace
	Catalogue   *rule.Catalogue
	Preferences Preferences
}

// Workspace gives the files that were open, or below the folders of the workspace, when
// a View was made.
type Workspace interface {
	// Names of all files in order.
	Names(ctx context.Context) ([]string, error)
	// Root returns a file as a root; nil where it can't be read. Within one View the same
	// name gives the same Root, and the same *syntax.File whichever root uses it.
	Root(ctx context.Context, name string) (*Root, error)
	// Folders are absolute paths with slashes.
	Folders() []string
}

// Src is the text of the document.
func (v *View) Src() *source.File { return v.Tree.Src }

// Read returns what the chosen root elaborates to.
func (v *View) Read(ctx context.Context) (*elaborate.Result, error) { return v.Root.Read(ctx) }

// Index returns the index of names of the chosen root. Another root has definitions of
// its own for the same text; [Same] finds them.
func (v *View) Index(ctx context.Context) (*name.Index, error) {
	read, err := v.Root.Read(ctx)
	if err != nil {
		return nil, err
	}
	return read.Index, nil
}

// Same returns the definition in an index that stands at the same place as d, which is
// of another index; nil where there is none.
func Same(in *name.Index, d *name.Def) *name.Def {
	if d.NamePlace.File == nil {
		return nil
	}
	same, _ := in.DefinitionAt(d.NamePlace.File, d.NamePlace.Start)
	return same
}

// Findings returns the full verdict on the document: what is found in it through any of
// its roots, sorted, each once.
func (v *View) Findings(ctx context.Context) ([]diag.Finding, error) {
	var all [][]diag.Finding
	for _, r := range v.Roots {
		res, err := r.Check(ctx)
		if err != nil {
			return nil, err
		}
		all = append(all, res.Findings)
	}
	return In(v.Tree.Src.Name, run.Merge(all...)), nil
}

// In returns the findings that stand in a file.
func In(file string, fs []diag.Finding) []diag.Finding {
	return slices.DeleteFunc(slices.Clone(fs), func(f diag.Finding) bool {
		return f.File == nil || f.File.Name != file
	})
}

// Ask puts a question to the engines of one design of the chosen root, one of
// Read().Designs; see [Root.Ask] for the error.
func (v *View) Ask(ctx context.Context, d *model.Design, question func(*rule.Pass)) error {
	return v.Root.Ask(ctx, d, question)
}

// Shown is the name of a file as people read it: relative to the folder of the workspace
// that it is in.
func Shown(file string, folders []string) string {
	for _, f := range folders {
		if rel, ok := strings.CutPrefix(file, strings.TrimSuffix(f, "/")+"/"); ok {
			return rel
		}
	}
	return file
}

// Preferences are what the configuration of the client says of features. The client
// writes them below "pintle", in the spelling of the tags.
type Preferences struct {
	InlayHints HintPreferences `json:"inlayHints"`
	CodeLenses LensPreferences `json:"codeLenses"`
}

// HintPreferences switch inlay hints.
type HintPreferences struct {
	DeadBands bool `json:"deadBands"` // width of the gap between two thresholds
	Currents  bool `json:"currents"`
	Drops     bool `json:"drops"`
	Arguments bool `json:"arguments"` // names of arguments
	Defaults  bool `json:"defaults"`  // values that are taken where nothing is said
}

// LensPreferences switch code lenses.
type LensPreferences struct {
	Drives     bool `json:"drives"`
	References bool `json:"references"`
	Faults     bool `json:"faults"`
}

// DefaultPreferences has everything switched on.
func DefaultPreferences() Preferences {
	return Preferences{
		InlayHints: HintPreferences{true, true, true, true, true},
		CodeLenses: LensPreferences{true, true, true},
	}
}
