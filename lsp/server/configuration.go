package server

import (
	"encoding/json"

	"go.lsp.dev/protocol"

	"pintle/lsp/ide"
	"pintle/lsp/session"
)

// configurationSection is where the client keeps our configuration.
const configurationSection = "pintle"

// configuration is what may stand there.
type configuration struct {
	ide.Preferences
	LogLevel string `json:"logLevel"`
	// Check is "workspace" or "open": which files are checked for their own sake.
	Check string `json:"check"`
}

// configure takes a configuration over. What it does not say keeps its default. It tells
// whether that changes what is shown.
func (s *Server) configure(raw json.RawMessage) (shown bool) {
	c := configuration{Preferences: ide.DefaultPreferences()}
	s.lenient("configuration", raw, &c)
	s.setLevel(c.LogLevel)
	scope := session.WholeWorkspace
	if c.Check == "open" {
		scope = session.OpenDocuments
	}
	before := s.session.Current().Preferences()
	s.session.Configure(c.Preferences, scope)
	return before != c.Preferences
}

// askConfiguration asks the client for it, where it can be asked.
func (s *Server) askConfiguration() {
	if !s.client.Load().Can("workspace.configuration") {
		return
	}
	section := configurationSection
	params := &protocol.ConfigurationParams{Items: []protocol.ConfigurationItem{{Section: &section}}}
	s.ask("workspace/configuration", params, func(result json.RawMessage) {
		var items []json.RawMessage
		s.lenient("answer to workspace/configuration", result, &items)
		if len(items) == 1 && string(items[0]) != "null" {
			s.configureAnew(items[0])
		}
	})
}

func (s *Server) didChangeConfiguration(params json.RawMessage) error {
	if s.client.Load().Can("workspace.configuration") {
		s.askConfiguration()
		return nil
	}
	var p struct {
		Settings map[string]json.RawMessage `json:"settings"`
	}
	s.lenient("didChangeConfiguration", params, &p)
	if own, ok := p.Settings[configurationSection]; ok {
		s.configureAnew(own)
	}
	return nil
}
