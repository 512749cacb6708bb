package main

import (
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"pintle/lang/spelling"
)

// rootCommand makes the command with all its verbs.
func rootCommand(std stdio) *cobra.Command {
	root := &cobra.Command{
		Use:   "pintle",
		Short: "Check how a piece of a vehicle is supposed to switch",
		Long: `Pintle reads descriptions of how a piece of a vehicle is supposed to switch:
what feeds a load, what earths it, which setting, threshold or controller
decides. It works out what the circuit really does, and reports where it does
not do what it is supposed to.

Files end in .pintle. A folder stands for all of them below it, and - for
standard input.`,
		Example: `  pintle check                    everything below this folder
  pintle check lamps.pintle       one file
  pintle rules sneak-path         what a rule is about
  pintle format lamps.pintle      rewrite a file in the standard layout`,
		Args: func(c *cobra.Command, args []string) error {
			if len(args) == 0 {
				return nil
			}
			var verbs []string
			for _, v := range c.Commands() {
				if v.IsAvailableCommand() {
					verbs = append(verbs, v.Name())
				}
			}
			if nearest := spelling.Best(args[0], slices.Values(verbs)); nearest != "" {
				return fmt.Errorf("there is no verb %q; the nearest is %q", args[0], nearest)
			}
			return fmt.Errorf("there is no verb %q; there is %s", args[0], strings.Join(verbs, ", "))
		},
		RunE:          func(c *cobra.Command, _ []string) error { return c.Help() },
		SilenceErrors: true,
		SilenceUsage:  true,
	}
	root.SetIn(std.in)
	root.SetOut(std.out)
	root.SetErr(std.err)
	root.SetHelpTemplate(helpTemplate)
	root.SetUsageTemplate(usageTemplate)
	for _, verb := range []func(stdio) *cobra.Command{
		askCommand,
		checkCommand,
		compareCommand,
		driveCommand,
		faultsCommand,
		formatCommand,
		listCommand,
		replayCommand,
		rulesCommand,
		serveCommand,
		tableCommand,
		completionCommand,
		versionCommand,
		wiresCommand,
	} {
		root.AddCommand(verb(std))
	}
	return root
}

const (
	helpTemplate = `{{with (or .Long .Short)}}{{. | trimTrailingWhitespaces}}

{{end}}{{.UsageString}}`

	usageTemplate = `{{if and .Runnable (not .HasAvailableSubCommands)}}  {{.UseLine}}
{{end}}{{if .HasAvailableSubCommands}}  {{.CommandPath}} VERB …
{{end}}{{if .HasExample}}
For example:
{{.Example}}
{{end}}{{if .HasAvailableSubCommands}}
Verbs:{{range .Commands}}{{if .IsAvailableCommand}}
  {{rpad .Name .NamePadding }}  {{.Short}}{{end}}{{end}}
{{end}}{{if .HasAvailableLocalFlags}}
Flags:
{{.LocalFlags.FlagUsages | trimTrailingWhitespaces}}
{{end}}{{if .HasAvailableSubCommands}}
"{{.CommandPath}} VERB --help" shows more about a verb.
{{end}}`
)

// onlyDesigns completes arguments to files of designs and folders.
func onlyDesigns(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
	return []string{"pintle"}, cobra.ShellCompDirectiveFilterFileExt
}

// oneOf completes a flag to a fixed list.
func oneOf(words []string) func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
	return func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
		return words, cobra.ShellCompDirectiveNoFileComp
	}
}
