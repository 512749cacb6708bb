package evidence

import (
	"context"

	"pintle/checker/engine/system"
	"pintle/lang/diag"
)

// Unsettled shows what never settles, where that is why a claim is undecided: the moves that
// lead there and the round that it goes then. It is empty for any other verdict.
func Unsettled(ctx context.Context, v system.Verdict) []diag.Evidence {
	var trace *system.Trace
	var round []diag.Line
	switch {
	case v.Unsettled != nil:
		trace = v.Unsettled.Trace
		var err error
		if round, err = trace.System.Round(ctx, *v.Unsettled); err != nil {
			round = nil
		}
	case v.Round != nil:
		trace = v.Round.Trace
		round = trace.System.Turns(*v.Round)
	default:
		return nil
	}
	out := Moves("how it comes about", trace)
	if len(round) > 0 {
		out = append(out, diag.Evidence{Kind: diag.Trace, Title: "the round that it goes then", Lines: round})
	}
	return out
}
