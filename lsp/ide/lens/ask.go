package lens

import (
	"bytes"
	"context"

	"pintle/checker/run"
	"pintle/checker/run/report"
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
	form, text, err = written(func(w *bytes.Buffer, as string) error { return report.WriteAsk(w, as, r) })
	for _, f := range r.Failures {
		text = append(text, "\n"+f.String()+"\n"...)
	}
	return form, text, err
}

// written is an answer as JSON and as text.
func written(write func(w *bytes.Buffer, as string) error) (form, text []byte, err error) {
	var data, words bytes.Buffer
	if err := write(&data, "json"); err != nil {
		return nil, nil, err
	}
	err = write(&words, "text")
	return data.Bytes(), words.Bytes(), err
}
