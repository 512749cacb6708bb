package server

import (
	"time"

	"go.uber.org/zap"
)

// watchParent ends the server when the editor that started it is gone without a word.
func (s *Server) watchParent(pid int) {
	if s.opts.Alive == nil || s.opts.ParentPoll <= 0 || pid <= 0 {
		return
	}
	s.work.Go(func() {
		tick := time.NewTicker(s.opts.ParentPoll)
		defer tick.Stop()
		for {
			select {
			case <-s.ctx.Done():
				return
			case <-tick.C:
				if !s.opts.Alive(pid) {
					s.log.Warn("the editor is gone", zap.Int("pid", pid))
					s.exit(ExitFailed)
					return
				}
			}
		}
	})
}
