package main

import (
	"errors"
	"os"
	"path/filepath"
	"time"

	"github.com/spf13/cobra"
	"go.uber.org/zap"
	"go.uber.org/zap/zapcore"

	"pintle/checker/rules"
	"pintle/checker/run"
	"pintle/lsp/server"
)

// parentPoll is how often a language server looks whether its editor is still there.
const parentPoll = 5 * time.Second

func serveCommand(std stdio) *cobra.Command {
	var logFile, logLevel string
	var allow []string
	c := &cobra.Command{
		Use:   "serve",
		Short: "Speak the Language Server Protocol to an editor",
		Long: `An editor starts serve. It speaks the Language Server Protocol over standard
input and output, until the editor sends exit or ends.

The log goes to standard error or a file. The editor may set its level
(initializationOptions.logLevel).`,
		Example: "  pintle serve\n  pintle serve --log pintle.log --log-level debug",
		Args:    cobra.NoArgs,
		RunE: func(c *cobra.Command, _ []string) error {
			catalogue, err := rules.All()
			if err != nil {
				return err
			}
			level, err := zap.ParseAtomicLevel(logLevel)
			if err != nil {
				return errors.New("--log-level is one of debug, info, warn, error")
			}
			log, closeLog, err := openLog(std, logFile, level)
			if err != nil {
				return err
			}
			defer closeLog()
			for i, dir := range allow {
				if dir == "" {
					return errors.New("--allow takes the name of a folder, and this one is empty")
				}
				if allow[i], err = filepath.Abs(dir); err != nil {
					return err
				}
			}
			run.Resident()
			status := server.Serve(c.Context(), std.in, std.out, server.Options{
				Catalogue: catalogue, Today: time.Now, Version: version(), Log: log, Level: &level,
				PageDir: cacheDir("rules"), AnswerDir: cacheDir("answers"), Allow: allow, Alive: alive, ParentPoll: parentPoll, Patience: patience,
			})
			if status != server.ExitDone {
				return errFindings // the protocol asks for status 1
			}
			return nil
		},
	}
	c.Flags().StringVar(&logFile, "log", "", "append the log to a `file` (default: standard error)")
	c.Flags().StringVar(&logLevel, "log-level", "warn", "`level` of the log: debug, info, warn or error")
	allowFlag(c, &allow)
	// Client libraries append it; there is nothing else to choose.
	c.Flags().Bool("stdio", true, "speak over standard input and output")
	_ = c.Flags().MarkHidden("stdio") // the flag is there
	return c
}

// openLog makes the log. Nothing is ever written to standard output: that is the
// editor's.
func openLog(std stdio, file string, level zap.AtomicLevel) (*zap.Logger, func(), error) {
	out, done := zapcore.AddSync(std.err), func() {}
	if file != "" {
		f, err := os.OpenFile(file, os.O_APPEND|os.O_CREATE|os.O_WRONLY, 0o600)
		if err != nil {
			return nil, nil, err
		}
		out, done = f, func() { _ = f.Close() } // the log is all that it could be told to
	}
	config := zap.NewProductionEncoderConfig()
	config.EncodeTime = zapcore.ISO8601TimeEncoder
	return zap.New(zapcore.NewCore(zapcore.NewConsoleEncoder(config), zapcore.Lock(out), level)), done, nil
}

// cacheDir is where files are put for editors to open: pages of rules, answers. It is "" where
// there is no place for such things.
func cacheDir(what string) string {
	dir, err := os.UserCacheDir()
	if err != nil {
		return ""
	}
	return filepath.Join(dir, "pintle", what)
}
