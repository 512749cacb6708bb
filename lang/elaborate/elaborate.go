// Package elaborate makes flat designs of syntax trees: it follows `use`, chooses
// options, puts parts in place, resolves names, checks that things are used for what
// they are, and lowers conditions, until nothing is left but the tables of a
// model.Design.
//
// A design is built in passes over its bodies (the files, the fits, the surroundings
// of a bench), so that the order of statements never matters:
//
//	declare  every name gets its place in a table; parts are put in place
//	link     arguments and armatures find what they are about
//	wire     elements, passages, connectors: what needs no condition; what can't be
//	         placed is then left out
//	observe  thresholds and the media of hoses
//	decide   conditions, and everything that has one
//	claim    requirements, drives, symptoms, faults, acceptances
//	finish   what is known only of the whole design
//
// Elaboration never fails. A statement that can't be understood is left out or marked
// broken, and what depends on it becomes unknown without a further finding.
package elaborate

import (
	"context"
	"slices"
	"strings"

	"pintle/lang/diag"
	"pintle/lang/model"
	"pintle/lang/name"
	"pintle/lang/schema"
	"pintle/lang/syntax"
)

// Limits on what one root file may unfold to. Beyond them a finding names the limit.
const (
	// MaxCombinations is the most combinations of options that are elaborated.
	MaxCombinations = 64
	// MaxBodies is the most fits in one design.
	MaxBodies = 200_000
	// MaxRepeat is the most fits that one `N of` makes, and ways of a connector.
	MaxRepeat = 10_000
)

// Loader gives the text of used files, so that an editor can lay its own texts over
// those on disk, and a page without a disk can work at all.
type Loader interface {
	// Load returns the file that `use "path"` in from means. The same file gives the
	// same *syntax.File, from wherever it is used, within one Elaborate.
	Load(ctx context.Context, from *syntax.File, path string) (*syntax.File, error)
}

// Result is what a root file comes to.
type Result struct {
	// Designs are those of the combinations of options in their order, then the benches
	// of the parts of the root file.
	Designs []*model.Design
	// Findings are sorted; those of the parser are not among them.
	Findings []diag.Finding
	Index    *name.Index
	// Files are all files taken part in, the root first.
	Files []*syntax.File
}

// Elaborate makes the designs of a root file. It stops early, with what it has, when
// the context ends. loader may be nil where no file uses another.
func Elaborate(ctx context.Context, root *syntax.File, loader Loader) *Result {
	e := &elaboration{ctx: ctx, loader: loader, seen: map[findingKey]int{}, said: map[ruleIn]int{}, checked: map[*name.Scope]bool{},
		missing: map[*name.Scope]bool{}, noted: map[*name.Scope]*model.Design{}, bench: map[string]int{}}
	e.load(root)
	e.index = name.NewIndex(e.scopes)
	e.findTitles()
	e.findOptions()
	designs := e.designs()
	designs = append(designs, e.benches()...)
	e.checkParts()
	e.finishFindings()
	return &Result{Designs: designs, Findings: e.findings, Index: e.index, Files: e.files}
}

// elaboration is what all designs of a root file share.
type elaboration struct {
	ctx    context.Context
	loader Loader

	files  []*syntax.File
	scopes []*name.Scope // of the files, in the same order
	titles []int         // places of the titles among the items of the first of them
	prefix []string      // path prefix of the things of each file: "", "short."

	index    *name.Index
	options  []option
	findings []diag.Finding
	seen     map[findingKey]int
	said     map[ruleIn]int // findings of a rule in a file
	found    [][]string     // names of the combinations in which each finding occurred
	where    string         // the combination being built
	combos   int
	bench    map[string]int       // the combinations of benches by name, with how many there are of the bench
	checked  map[*name.Scope]bool // parts that were put in place somewhere
	outside  *outside             // of every part, once it is known
	nodes    []model.Node         // room for those of a part alone
	elements []model.Element
	noted    map[*name.Scope]*model.Design // in which design the uses in a scope were noted
	missing  map[*name.Scope]bool          // files that use one that can't be read: any name may be of that
}

type option struct {
	def       *name.Def
	positions []string
}

// stopped reports whether the caller does not want an answer any more.
func (e *elaboration) stopped() bool { return e.ctx.Err() != nil }

// findTitles finds those of the root file once: every part is built alone, and asks for them.
func (e *elaboration) findTitles() {
	for i := range e.scopes[0].Items {
		if e.scopes[0].Items[i].Stmt.Kind.ID == schema.Title {
			e.titles = append(e.titles, i)
		}
	}
}

func (e *elaboration) findOptions() {
	for _, s := range e.scopes {
		for i := range s.Items {
			it := &s.Items[i]
			if it.Stmt.Kind.ID != schema.Option || len(it.Defs) == 0 {
				continue
			}
			d := it.Defs[0]
			if it.Guard != nil {
				e.onlyForAll(d.Place, "an option is there")
			}
			var pos []string
			for _, m := range d.Inner.Defs {
				pos = append(pos, m.Name)
			}
			if len(pos) > 0 {
				e.options = append(e.options, option{d, pos})
			}
		}
	}
}

// combinations lists the choices of each combination of options: the first written
// option varies slowest.
func (e *elaboration) combinations() (combos [][]int, all []bool) {
	all = make([]bool, len(e.options))
	for i := range all {
		all[i] = true
	}
	return e.combinationsOf(all), all
}

// combinationsOf are the choices of each combination of some of the options, with the
// others in their first position. Beyond MaxCombinations the rest is left out with a
// finding.
func (e *elaboration) combinationsOf(some []bool) [][]int {
	n := 1
	for i, o := range e.options {
		if some[i] {
			n *= len(o.positions)
		}
		if n > MaxCombinations {
			e.tooManyCombinations(o.def)
			break
		}
	}
	var out [][]int
	choice := make([]int, len(e.options))
	for len(out) < MaxCombinations {
		out = append(out, slices.Clone(choice))
		i := len(choice) - 1
		for ; i >= 0; i-- {
			if !some[i] {
				continue
			}
			if choice[i]++; choice[i] < len(e.options[i].positions) {
				break
			}
			choice[i] = 0
		}
		if i < 0 {
			break
		}
	}
	return out
}

// combinationOf names a combination by some of its options.
func (e *elaboration) combinationOf(choice []int, some []bool) string {
	var words []string
	for i, c := range choice {
		if some[i] {
			words = append(words, e.options[i].def.Name+" "+e.options[i].positions[c])
		}
	}
	return strings.Join(words, ", ")
}

// designs builds the design of each combination. A root file that only declares parts
// is a library and has none.
func (e *elaboration) designs() []*model.Design {
	if !e.describesSomething() {
		return nil
	}
	combos, all := e.combinations()
	e.combos = len(combos)
	var out []*model.Design
	for _, c := range combos {
		if e.stopped() {
			break
		}
		e.where = e.combinationOf(c, all)
		if d := e.build(c, e.where); !e.stopped() {
			out = append(out, d)
		}
	}
	e.where = ""
	return out
}

func (e *elaboration) describesSomething() bool {
	for i := range e.scopes[0].Items {
		switch e.scopes[0].Items[i].Stmt.Kind.ID {
		case schema.Title, schema.Use, schema.Part, schema.Option, schema.Accept:
		default:
			return true
		}
	}
	return false
}

// benches builds the designs of each bench of each part of the root file.
func (e *elaboration) benches() []*model.Design {
	var out []*model.Design
	for _, part := range e.rootParts() {
		for _, bench := range part.Inner.Claims {
			if bench.Kind != schema.Bench || bench.Inner == nil || e.stopped() {
				continue
			}
			out = append(out, e.benchDesigns(part, bench)...)
		}
	}
	return out
}

// benchDesigns builds a bench in each combination of the options that affect it;
// most have none. Which these are shows while it is built: under one option another may
// come in.
func (e *elaboration) benchDesigns(part, bench *name.Def) []*model.Design {
	called := "bench " + part.Name + "." + bench.Name
	has := make([]bool, len(e.options))
	for {
		some := slices.Clone(has)
		combos := e.combinationsOf(some)
		var out []*model.Design
		var names []string
		grown := false
		for _, c := range combos {
			if e.where = called; len(combos) > 1 {
				e.where += " with " + e.combinationOf(c, some)
			}
			names = append(names, e.where)
			e.bench[e.where] = len(combos)
			d, uses := e.buildBench(part, bench, c, e.where)
			if e.stopped() {
				return nil
			}
			out = append(out, d)
			for i, u := range uses {
				grown = grown || u && !has[i]
				has[i] = has[i] || u
			}
		}
		e.where = ""
		if !grown {
			return out
		}
		// What was found with fewer options is found again with all of them.
		for i := range e.found {
			e.found[i] = slices.DeleteFunc(e.found[i], func(where string) bool { return slices.Contains(names, where) })
		}
	}
}

func (e *elaboration) rootParts() []*name.Def {
	var out []*name.Def
	for _, d := range e.scopes[0].Defs {
		if d.Kind == schema.Part && d.Inner != nil {
			out = append(out, d)
		}
	}
	return out
}

// checkParts elaborates each part of the root file that nothing has put in place, with
// placeholders for what it takes, for its findings alone.
func (e *elaboration) checkParts() {
	for _, part := range e.rootParts() {
		if e.checked[part.Inner] || e.stopped() {
			continue
		}
		e.buildAlone(part)
	}
}
