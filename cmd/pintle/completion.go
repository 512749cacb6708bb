package main

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"
)

var shells = []string{"bash", "zsh", "fish", "powershell"}

func completionCommand(std stdio) *cobra.Command {
	return &cobra.Command{
		Use:   "completion SHELL",
		Short: "Write a script for shell completion of verbs, flags and rules",
		Long: `Completion writes a script for bash, zsh, fish or powershell. After reading
it, a shell completes verbs, flags, files and the names of rules.`,
		Example: `  source <(pintle completion bash)      in this shell; in ~/.bashrc for all
  pintle completion zsh > ~/.zfunc/_pintle
  pintle completion fish > ~/.config/fish/completions/pintle.fish`,
		ValidArgs: shells,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) != 1 {
				return fmt.Errorf("completion takes the name of one shell: %s", strings.Join(shells, ", "))
			}
			return nil
		},
		RunE: func(c *cobra.Command, args []string) error {
			switch root := c.Root(); args[0] {
			case "bash":
				return root.GenBashCompletionV2(std.out, true)
			case "zsh":
				return root.GenZshCompletion(std.out)
			case "fish":
				return root.GenFishCompletion(std.out, true)
			case "powershell":
				return root.GenPowerShellCompletionWithDesc(std.out)
			}
			return fmt.Errorf("there is no completion for %q; there is %s", args[0], strings.Join(shells, ", "))
		},
	}
}
