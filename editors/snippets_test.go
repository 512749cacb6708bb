package editors_test

import (
	"encoding/json"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/BurntSushi/toml"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestSnippets reads the settings that are there to be copied: each has the shape of its
// file, and starts the server as it wants to be started.
func TestSnippets(t *testing.T) {
	start := []any{"pintle", "serve"}

	var helix struct {
		Servers map[string]struct {
			Command string
			Args    []any
		} `toml:"language-server"`
		Languages []struct {
			Servers []string `toml:"language-servers"`
		} `toml:"language"`
	}
	_, err := toml.DecodeFile("helix/languages.toml", &helix)
	require.NoError(t, err)
	assert.Equal(t, start, append([]any{helix.Servers["pintle"].Command}, helix.Servers["pintle"].Args...))
	assert.Equal(t, []string{"pintle"}, helix.Languages[0].Servers)

	for file, key := range map[string]string{"kate/lspclient.json": "servers", "sublime/LSP.sublime-settings": "clients"} {
		var settings map[string]map[string]struct{ Command []any }
		raw, err := os.ReadFile(file)
		require.NoError(t, err)
		require.NoError(t, json.Unmarshal(raw, &settings), file)
		assert.Equal(t, start, settings[key]["pintle"].Command, file)
	}
}

// TestExtensionSettings holds the settings of the extension against those that
// lsp/README.md tells of.
func TestExtensionSettings(t *testing.T) {
	raw, err := os.ReadFile("vscode/package.json")
	require.NoError(t, err)
	var extension struct {
		Contributes struct {
			Configuration struct{ Properties map[string]any }
		}
	}
	require.NoError(t, json.Unmarshal(raw, &extension))
	page, err := os.ReadFile(filepath.Join("..", "lsp", "README.md"))
	require.NoError(t, err)
	var told []string
	group := ""
	_, section, _ := strings.Cut(string(page), "\n## Configuration\n")
	section, _, _ = strings.Cut(section, "\n## ")
	for line := range strings.Lines(section) {
		cells := strings.Split(line, "|")
		if len(cells) < 3 || strings.Contains(cells[1], "only at the start") {
			continue
		}
		for _, word := range regexp.MustCompile("`(.*?)`").FindAllStringSubmatch(cells[1], -1) {
			key := word[1]
			if strings.HasPrefix(key, ".") {
				key = group + key
			}
			group, _, _ = strings.Cut(key, ".")
			told = append(told, "pintle."+key)
		}
	}
	require.Greater(t, len(told), 8)
	for _, key := range told {
		assert.Contains(t, extension.Contributes.Configuration.Properties, key)
	}
	for key := range extension.Contributes.Configuration.Properties {
		if key != "pintle.server.path" && key != "pintle.trace.server" {
			assert.Contains(t, told, key)
		}
	}
}
