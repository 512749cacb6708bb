package lens

import (
	"bytes"
	"context"
	"errors"

	"pintle/checker/run"
	"pintle/checker/run/files"
	"pintle/checker/run/report"
	"pintle/checker/run/revision"
	"pintle/lsp/ide"
)

// opened is the chosen root of a document as a verb of the command line opens it.
func opened(v *ide.View) *run.Source {
	return &run.Source{Tree: v.Root.Tree, Loader: v.Root.Loader, Settings: v.Root.Settings, Memo: v.Root.Memo}
}

// Ask answers questions about the chosen root of a document: what `pintle ask` prints, as JSON
// and as text. The errors are those of run.Ask.
func Ask(ctx context.Context, v *ide.View, req run.AskRequest) (form, text []byte, err error) {
	req.Source = opened(v)
	r, err := run.Ask(ctx, req)
	if err != nil {
		return nil, nil, err
	}
	return written(r.Failures, func(w *bytes.Buffer, as string) error { return report.WriteAsk(w, as, r) })
}

// written is an answer as JSON and as text; the text ends with what could not be read.
func written(failures []run.Failure, write func(w *bytes.Buffer, as string) error) (form, text []byte, err error) {
	var data, words bytes.Buffer
	if err := write(&data, "json"); err != nil {
		return nil, nil, err
	}
	if err := write(&words, "text"); err != nil {
		return nil, nil, err
	}
	for _, f := range failures {
		words.WriteString("\n" + f.String() + "\n")
	}
	return data.Bytes(), words.Bytes(), nil
}

// Table makes decision tables of the chosen root of a document: what `pintle table` prints. The
// errors are those of run.Table.
func Table(ctx context.Context, v *ide.View, req run.TableRequest) (form, text []byte, err error) {
	req.Source = opened(v)
	r, err := run.Table(ctx, req)
	if err != nil {
		return nil, nil, err
	}
	return written(r.Failures, func(w *bytes.Buffer, as string) error { return report.WriteTable(w, as, r) })
}

// Compare compares the chosen root of a document with what its file was at a revision of its
// repository; without one, with what is saved. It gives what `pintle compare` prints. The errors
// are those of run.Compare.
func Compare(ctx context.Context, v *ide.View, since string, options map[string]string) (form, text []byte, err error) {
	name := v.Root.Name()
	if !files.IsAbs(name) {
		return nil, nil, errors.New("the document is in no file yet; save it first")
	}
	req := run.CompareRequest{
		OpenRequest: run.OpenRequest{Source: opened(v), Options: options, Rules: v.Catalogue.Names()},
		Old:         name, Since: since, Catalogue: v.Catalogue,
	}
	if since != "" {
		if req.OldFiles, err = revision.Open(ctx, files.Dir(name), since); err != nil {
			return nil, nil, err
		}
	}
	r, err := run.Compare(ctx, req)
	if err != nil {
		return nil, nil, err
	}
	return written(r.Failures, func(w *bytes.Buffer, as string) error { return report.WriteCompare(w, as, r) })
}
