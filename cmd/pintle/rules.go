package main

import (
	"bufio"
	"fmt"
	"strings"

	"github.com/spf13/cobra"

	"pintle/checker/rules"
)

func rulesCommand(std stdio) *cobra.Command {
	return &cobra.Command{
		Use:   "rules [NAME]…",
		Short: "List the rules of check, or explain one",
		Example: `  pintle rules
  pintle rules sneak-path`,
		ValidArgsFunction: func(c *cobra.Command, args []string, toComplete string) ([]string, cobra.ShellCompDirective) {
			return ruleNames(c, args, toComplete)
		},
		RunE: func(_ *cobra.Command, names []string) error {
			catalogue, err := rules.All()
			if err != nil {
				return err
			}
			if err := known(catalogue, names); err != nil {
				return err
			}
			out := bufio.NewWriter(std.out)
			for i, name := range names {
				page, err := catalogue.Page(name)
				if err != nil {
					return err
				}
				if i > 0 {
					fmt.Fprintln(out)
				}
				fmt.Fprint(out, page)
			}
			if len(names) > 0 {
				return out.Flush()
			}
			width := 0
			for _, name := range catalogue.Names() {
				width = max(width, len(name))
			}
			for i, g := range catalogue.Groups() {
				if i > 0 {
					fmt.Fprintln(out)
				}
				fmt.Fprintln(out, g.Title)
				for _, r := range g.Rules {
					fmt.Fprintf(out, "  %-*s  %-7s  %s\n", width, r.Name, r.Severity, strings.TrimSpace(r.Summary))
				}
			}
			return out.Flush()
		},
	}
}
