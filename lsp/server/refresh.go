package server

import "encoding/json"

// configureAnew takes over a configuration that changed. A client that can be told to then
// asks again for what it switches.
func (s *Server) configureAnew(raw json.RawMessage) {
	if !s.configure(raw) {
		return
	}
	for _, what := range [...]string{"inlayHint", "codeLens"} {
		if s.client.Load().Can("workspace." + what + ".refreshSupport") {
			s.ask("workspace/"+what+"/refresh", nil, func(json.RawMessage) {})
		}
	}
}
