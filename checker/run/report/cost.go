package report

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"pintle/checker/engine/budget"
	"pintle/checker/run"
)

// mostRules is how many rules are named with what they took.
const mostRules = 4

// cost says in a line what the work on one design took, and for what.
func cost(c *run.Cost) string {
	what := c.File
	if c.Design != "" {
		what += ", " + c.Design
	}
	all := c.Steps()
	out := fmt.Sprintf("%s: %s", what, steps(all))
	if all == 0 {
		return out
	}
	kinds := make([]budget.Kind, 0, budget.Kinds)
	for k := range budget.Kinds {
		if c.Spent[k] > 0 {
			kinds = append(kinds, k)
		}
	}
	slices.SortStableFunc(kinds, func(a, b budget.Kind) int { return cmp.Compare(c.Spent[b], c.Spent[a]) })
	var shares []string
	for _, k := range kinds {
		shares = append(shares, fmt.Sprintf("%s %d %%", k, share(c.Spent[k], all)))
	}
	out += ": " + strings.Join(shares, ", ")
	var rules []string
	for _, r := range c.Rules[:min(mostRules, len(c.Rules))] {
		if part := share(r.Steps, all); part > 0 {
			rules = append(rules, fmt.Sprintf("%s %d %%", r.Rule, part))
		}
	}
	if rules != nil {
		out += "; most for " + strings.Join(rules, ", ")
	}
	return out
}

func share(part, all int64) int64 { return (part*100 + all/2) / all }

// steps writes how much work was done.
func steps(n int64) string {
	if n >= 100_000 {
		return fmt.Sprintf("%.1f million steps", float64(n)/1e6)
	}
	return count(int(n), "step")
}
