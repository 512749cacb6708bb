package run

import (
	"cmp"
	"context"
	"fmt"
	"runtime/metrics"
	"slices"
	"strings"
	"time"

	"pintle/checker/engine/budget"
	"pintle/checker/rule"
	"pintle/checker/run/settings"
	"pintle/lang/diag"
)

// Cost is what the work on one design took.
type Cost struct {
	File   string
	Design string // its name; empty where there is one only
	budget.Spent
	// Rules are what it was spent for, the dearest first.
	Rules []RuleCost
	// Left are the rules that did not look, or not to the end, as a limit was met; Why says which.
	Left []string
	Why  string
}

// RuleCost is what one rule took. What several rules need counts for the first of them.
type RuleCost struct {
	Rule  string
	Steps int64
}

// bounded makes the context of the work on one design: it ends with a [budget.Stop] when a
// limit of the settings is met. The last result ends it.
// The most time, unless it is zero, stands for that of the settings.
func bounded(ctx context.Context, l *settings.Limits, most time.Duration) (context.Context, func()) {
	ctx, b, end := budget.New(ctx, int64(l.Work))
	done := make(chan struct{})
	go watch(ctx, b, cmp.Or(most, time.Duration(l.Time)*time.Second), uint64(l.Memory), done)
	return ctx, func() {
		end()
		<-done
	}
}

// How often the memory is looked at, and how much a MB is.
const (
	glance   = 50 * time.Millisecond
	megabyte = 1 << 20
)

// watch stops the work when its time is over or too much memory is held. Unlike what is
// counted, both depend on the machine and on what else it does.
func watch(ctx context.Context, b *budget.Budget, most time.Duration, memory uint64, done chan<- struct{}) {
	defer close(done)
	over := time.NewTimer(most)
	defer over.Stop()
	tick := time.NewTicker(glance)
	defer tick.Stop()
	live := []metrics.Sample{{Name: "/gc/heap/live:bytes"}} // what the last collection left
	for {
		select {
		case <-ctx.Done():
			return
		case <-over.C:
			b.Stop(&budget.Stop{Limit: "time", Why: fmt.Sprintf("the time that one design may take, %s, is over (how far the work came by then depends on the machine)", most)})
			return
		case <-tick.C:
			metrics.Read(live)
			if live[0].Value.Kind() == metrics.KindUint64 && live[0].Value.Uint64() > memory*megabyte {
				b.Stop(&budget.Stop{Limit: "memory", Why: fmt.Sprintf("more than the %d MB of memory that may be held are needed (how far the work came by then depends on the machine)", memory)})
				return
			}
		}
	}
}

// costs follows what the work on one design takes.
type costs struct {
	ctx   context.Context
	spent budget.Spent
	rules []RuleCost
	left  []rule.Rule
}

// after takes down what a rule took, or that it did not get to its end.
func (w *costs) after(r *rule.Rule) {
	now := budget.From(w.ctx).Spent()
	if n := now.Less(w.spent).Steps(); n > 0 {
		w.rules = append(w.rules, RuleCost{r.Name, n})
	}
	w.spent = now
	if budget.Stopped(w.ctx) != nil {
		w.left = append(w.left, *r)
	}
}

// claims reports whether claims were left open.
func (w *costs) claims() bool {
	return slices.ContainsFunc(w.left, func(r rule.Rule) bool { return r.Claims })
}

func (w *costs) cost(file, design string) Cost {
	c := Cost{File: file, Design: design, Spent: budget.From(w.ctx).Spent(), Rules: w.rules}
	slices.SortStableFunc(c.Rules, func(a, b RuleCost) int { return cmp.Compare(b.Steps, a.Steps) })
	for i := range w.left {
		c.Left = append(c.Left, w.left[i].Name)
	}
	if s := budget.Stopped(w.ctx); s != nil {
		c.Why = s.Why
	}
	return c
}

// mostLeft is how many things a finding names that were left.
const mostLeft = 6

// stopped says of a design whose budget was spent what was not decided and not looked for: as
// severe as the most that could have been found.
func (c *fileCheck) stopped(p *rule.Pass, sink *collector, w *costs) {
	why := budget.Stopped(p.Ctx)
	if why == nil || len(w.left) == 0 {
		return
	}
	worst := diag.Off
	var names []string
	for i := range w.left {
		worst = max(worst, c.Settings.Severity(w.left[i].Name, w.left[i].Severity))
		names = append(names, w.left[i].Name)
	}
	if worst == diag.Off {
		return
	}
	message := "not all of the design was looked at: " + why.Why
	if open := undecidedClaims(p, w); len(open) > 0 {
		worst = diag.Error
		message += fmt.Sprintf("; undecided: %s", some(open))
	}
	sink.Report(diag.Finding{
		Rule: rule.Undecided, Severity: worst, Where: p.Design.Name, Place: diag.Place{File: c.Root.Src},
		Message: message + "; not looked for to the end: " + some(names),
		Help:    fmt.Sprintf("raise limits.%s in pintle.toml, or split the design", why.Limit),
	})
}

// undecidedClaims names the claims that were not asked about, or not to the end.
func undecidedClaims(p *rule.Pass, w *costs) (open []string) {
	if !w.claims() {
		return nil
	}
	t := p.Tally()
	for i := range p.Design.Requirements {
		if _, decided := t.Verdicts[i]; !decided && !p.Design.Requirements[i].Broken {
			open = append(open, p.Design.Requirements[i].Path)
		}
	}
	for i := range p.Design.Drives {
		if d := &p.Design.Drives[i]; !t.Drove && !d.Broken && rule.MeantFor(d, p.Design) {
			open = append(open, d.Path)
		}
	}
	for i := range p.Design.Notices {
		if _, decided := t.Noticed[i]; !decided && !p.Design.Notices[i].Broken {
			open = append(open, p.Design.Notices[i].Path)
		}
	}
	return open
}

// some names the first of many.
func some(names []string) string {
	if more := len(names) - mostLeft; more > 1 {
		return fmt.Sprintf("%s and %d more", strings.Join(names[:mostLeft], ", "), more)
	}
	return strings.Join(names, ", ")
}
