package run

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"slices"
	"time"

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

// OpenRequest names the file whose designs a verb is about. The request of each verb contains
// one.
type OpenRequest struct {
	Path string
	// Options choose positions of options: only designs with these are opened.
	Options map[string]string
	// Benches opens the benches of parts too.
	Benches bool
	// Rules are the names that settings may speak of.
	Rules []string
	Files files.Files // nil: the disk
	Input []byte      // the text of StandardInput
	// Time, unless it is zero, stands for the most that one design may take by the settings.
	Time time.Duration
	// Source is the file if it has been read already, as in an editor: nothing is searched for.
	Source *Source
}

// Source is a file that was read.
type Source struct {
	Tree     *syntax.File
	Loader   elaborate.Loader
	Settings *settings.Settings
	Memo     *circuit.Memo // nil: the designs of the file share one
}

// Opened is a file that was read for a verb.
type Opened struct {
	File string
	Tree *syntax.File
	Read *elaborate.Result
	// Designs are one for each combination of the options asked for, and never none; then the
	// benches of parts, if they were asked for.
	Designs []*model.Design
	// Source is the file by itself: to open it once more with something else behind it.
	Source *Source
	// End is where the text of the file ends. What stands behind begins there.
	End int
	// Failures are what of the file itself could not be read.
	Failures []Failure
	Notices  []Failure

	settings *settings.Settings
	loader   elaborate.Loader
	time     time.Duration
	memo     *circuit.Memo
}

// Open reads the designs of one file. behind returns statements of a verb's own, such as
// questions, that are read as if they stood behind the text of the file; nil: there are none.
// The errors are those of the context, of the search for the file, and of behind; anything else
// is a sentence for the person who asks.
func Open(ctx context.Context, req OpenRequest, behind func(text string) (string, error)) (*Opened, error) {
	out := &Opened{}
	src := req.Source
	if src == nil {
		var err error
		if src, out.Notices, err = find(ctx, &req); err != nil {
			return nil, err
		}
	}
	out.Source = src
	out.File, out.Tree, out.End = src.Tree.Src.Name, src.Tree, len(src.Tree.Src.Text)+1
	out.settings, out.loader, out.memo, out.time = src.Settings, src.Loader, src.Memo, req.Time
	if out.memo == nil {
		out.memo = circuit.NewMemo()
	}
	if behind != nil {
		text := src.Tree.Src.Text
		more, err := behind(text)
		if err != nil {
			return nil, err
		}
		out.Tree = behindText(src.Tree, more)
	}
	out.Read = elaborate.Elaborate(ctx, out.Tree, src.Loader)
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	if bad := misread(out.Tree, out.Read, out.End); bad > 0 {
		out.Failures = append(out.Failures, unreadFailure(out.File, bad))
	}
	var err error
	out.Designs, err = chosen(out.Read.Designs, &req, out.File)
	return out, err
}

// behindText is a text with more behind it.
func behindText(tree *syntax.File, more string) *syntax.File {
	return syntax.Parse(source.NewFile(tree.Src.Name, tree.Src.Text+"\n"+more), nil)
}

// Behind is a text with statements behind it, as if it had been saved so. The error says which of
// them can't be read.
func Behind(tree *syntax.File, more string) (*syntax.File, error) {
	out := behindText(tree, more)
	for _, f := range out.Findings {
		if f.Severity == diag.Error && f.Start > len(tree.Src.Text) {
			return nil, errors.New(f.Message)
		}
	}
	return out, nil
}

// find reads the file that a request names.
func find(ctx context.Context, req *OpenRequest) (*Source, []Failure, error) {
	from := req.Files
	if from == nil {
		from = files.Disk{}
	}
	if req.Path == StandardInput {
		from = withText{from, StandardInput, req.Input}
	}
	limits := files.CheckLimits()
	there, err := Search(ctx, from, req.Rules, limits, []string{req.Path}, nil)
	switch {
	case err != nil:
		return nil, nil, err
	case len(there.Failures) > 0:
		return nil, nil, errors.New(there.Failures[0].String())
	case len(there.Roots) != 1:
		return nil, nil, fmt.Errorf("%s holds %d files; ask about one", req.Path, len(there.Roots))
	}
	root := there.Roots[0]
	trees := newParsed(from, limits)
	tree, err := trees.root(ctx, root)
	if err != nil {
		return nil, nil, fmt.Errorf("%s: %s", root.Name, files.Why(err))
	}
	return &Source{Tree: tree, Loader: newLoader(trees, tree, root), Settings: root.Settings}, there.Notices, nil
}

// Pass is what questions about one of the designs are asked of. The passes of a file share
// what they find out about circuits. The questions of one pass share the budget of a design;
// what it is too small for is undecided.
func (o *Opened) Pass(ctx context.Context, d *model.Design) *rule.Pass {
	ctx, end := bounded(ctx, &o.settings.Limits, o.time)
	context.AfterFunc(ctx, end)
	return &rule.Pass{Ctx: ctx, Root: o.Tree, Read: o.Read, Design: d, Limits: o.settings.Limits, Memo: o.memo}
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

// PartsOnlyError is returned for a file that holds no design.
type PartsOnlyError struct{ File string }

func (e *PartsOnlyError) Error() string {
	return e.File + " declares parts only; ask about a design that puts them in place"
}

// chosen are the designs of a file that a request asks for.
func chosen(designs []*model.Design, req *OpenRequest, file string) ([]*model.Design, error) {
	var own, out []*model.Design
	have, options := map[string][]string{}, req.Options
	for _, d := range designs {
		if d.Bench && !req.Benches {
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
		return nil, &PartsOnlyError{file}
	case len(out) > 0:
		return out, nil
	}
	for _, name := range slices.Sorted(maps.Keys(options)) {
		if have[name] == nil {
			return nil, NoSuch("option of "+file, name, slices.Sorted(maps.Keys(have)))
		}
		if !slices.Contains(have[name], options[name]) {
			return nil, NoSuch("position of "+name, options[name], have[name])
		}
	}
	return nil, fmt.Errorf("no combination of the options of %s is as --option says", file)
}

// NoSuch says that nothing has a name, with the nearest that something has.
func NoSuch(what, name string, have []string) error {
	if nearest := spelling.Best(name, slices.Values(have)); nearest != "" {
		return fmt.Errorf("no %s is called %q; the nearest is %q", what, name, nearest)
	}
	return fmt.Errorf("no %s is called %q", what, name)
}
