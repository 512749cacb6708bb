package run

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"slices"

	"pintle/checker/engine/circuit"
	"pintle/checker/rule"
	"pintle/checker/run/files"
	"pintle/checker/run/settings"
	"pintle/lang/diag"
	"pintle/lang/elaborate"
	"pintle/lang/model"
	"pintle/lang/source"
	"pintle/lang/spelling"
	"pintle/lang/syntax"
)

// OpenRequest names the file whose designs a verb is about.
type OpenRequest struct {
	Path string
	// Options choose positions of options: only designs with these are opened.
	Options map[string]string
	// Rules are the names that settings may speak of.
	Rules []string
	Files files.Files // nil: the disk
	Input []byte      // the text of StandardInput
	// Behind returns statements of the verb's own, which are read as if they stood behind the
	// text of the file: questions, for example. Nil: there are none.
	Behind func(text string) (string, error)
}

// Opened is a file that was read for a verb.
type Opened struct {
	File string
	Tree *syntax.File
	Read *elaborate.Result
	// Designs are one for each combination of the options asked for; never a bench of a part,
	// and never none.
	Designs []*model.Design
	// End is where the text of the file ends. What stands behind begins there.
	End int
	// Failures are what of the file itself could not be read.
	Failures []Failure
	Notices  []Failure

	limits settings.Limits
	memo   *circuit.Memo
}

// Open reads the designs of one file. The errors are those of the context, of the search for
// the file, and of Behind; anything else is a sentence for the person who asks.
func Open(ctx context.Context, req OpenRequest) (*Opened, error) {
	if req.Files == nil {
		req.Files = files.Disk{}
	}
	if req.Path == StandardInput {
		req.Files = withText{req.Files, StandardInput, req.Input}
	}
	limits := files.CheckLimits()
	there, err := Search(ctx, req.Files, req.Rules, limits, []string{req.Path}, nil)
	if err != nil {
		return nil, err
	}
	switch {
	case len(there.Failures) > 0:
		return nil, errors.New(there.Failures[0].String())
	case len(there.Roots) != 1:
		return nil, fmt.Errorf("%s holds %d files; ask about one", req.Path, len(there.Roots))
	}
	root := there.Roots[0]
	trees := newParsed(req.Files, limits)
	tree, err := trees.root(ctx, root)
	if err != nil {
		return nil, fmt.Errorf("%s: %s", root.Name, files.Why(err))
	}
	out := &Opened{File: root.Name, Tree: tree, End: len(tree.Src.Text) + 1, Notices: there.Notices, limits: root.Settings.Limits, memo: circuit.NewMemo()}
	if req.Behind != nil {
		behind, err := req.Behind(tree.Src.Text)
		if err != nil {
			return nil, err
		}
		out.Tree = syntax.Parse(source.NewFile(tree.Src.Name, tree.Src.Text+"\n"+behind), nil)
	}
	out.Read = elaborate.Elaborate(ctx, out.Tree, newLoader(trees, out.Tree, root))
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	if bad := misread(out.Tree, out.Read, out.End); bad > 0 {
		out.Failures = append(out.Failures, unreadFailure(root.Name, bad))
	}
	out.Designs, err = chosen(out.Read.Designs, req.Options, root.Name)
	return out, err
}

// Pass is what questions about one of the designs are asked of. The passes of a file share
// what they find out about circuits.
func (o *Opened) Pass(ctx context.Context, d *model.Design) *rule.Pass {
	return &rule.Pass{Ctx: ctx, Root: o.Tree, Read: o.Read, Design: d, Limits: o.limits, Memo: o.memo}
}

// misread counts what of the design itself could not be read.
func misread(tree *syntax.File, read *elaborate.Result, end int) (bad int) {
	for _, f := range slices.Concat(tree.Findings, read.Findings) {
		if f.Severity == diag.Error && (f.IsZero() || f.File.Name != tree.Src.Name || f.Start < end) {
			bad++
		}
	}
	return bad
}

// chosen are the designs of a file with some positions of its options.
func chosen(designs []*model.Design, options map[string]string, file string) ([]*model.Design, error) {
	var own, out []*model.Design
	have := map[string][]string{}
	for _, d := range designs {
		if d.Bench {
			continue
		}
		own = append(own, d)
		for _, c := range d.Choices {
			have[c.Option] = append(have[c.Option], c.Position)
		}
		fits := 0
		for _, c := range d.Choices {
			if options[c.Option] == c.Position {
				fits++
			}
		}
		if fits == len(options) {
			out = append(out, d)
		}
	}
	switch {
	case len(own) == 0:
		return nil, fmt.Errorf("%s declares parts only; ask about a design that puts them in place", file)
	case len(out) > 0:
		return out, nil
	}
	for _, name := range slices.Sorted(maps.Keys(options)) {
		if have[name] == nil {
			return nil, noSuch("option of "+file, name, slices.Sorted(maps.Keys(have)))
		}
		if !slices.Contains(have[name], options[name]) {
			return nil, noSuch("position of "+name, options[name], have[name])
		}
	}
	return nil, fmt.Errorf("no combination of the options of %s is as --option says", file)
}

// noSuch says that nothing has a name, with the nearest that something has.
func noSuch(what, name string, have []string) error {
	if nearest := spelling.Best(name, slices.Values(have)); nearest != "" {
		return fmt.Errorf("no %s is called %q; the nearest is %q", what, name, nearest)
	}
	return fmt.Errorf("no %s is called %q", what, name)
}
