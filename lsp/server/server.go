package server

import (
	"context"
	"errors"
	"io"
	"sync"
	"sync/atomic"
	"time"

	"go.lsp.dev/protocol"
	"go.uber.org/zap"

	"pintle/checker/rule"
	"pintle/checker/run/files"
	"pintle/lsp/convert"
	"pintle/lsp/server/rpc"
	"pintle/lsp/session"
)

// Options are what a server is started with.
type Options struct {
	Catalogue *rule.Catalogue
	// Files is what lies below the open documents; nil: the disk.
	Files files.Files
	// Allow are folders that designs may use files from beside their workspace.
	Allow []string
	// Today decides which acceptances have lapsed; nil: none.
	Today func() time.Time
	// Version that the server tells of itself.
	Version string
	// Log takes what developers want to know; nil: nothing. Level, if set, is the level
	// that the client may change.
	Log   *zap.Logger
	Level *zap.AtomicLevel
	// PageDir is the folder into which the pages of rules are written that diagnostics
	// link to; "": no links.
	PageDir string
	// AnswerDir is the folder into which answers are written for clients that show files but no
	// documents of a server; "": such a client is sent a message.
	AnswerDir string
	// Alive reports whether a process is still there, ParentPoll how often to look whether
	// the editor is; zero: never.
	Alive      func(pid int) bool
	ParentPoll time.Duration
	// Patience is how long a check may take before its progress is shown.
	Patience time.Duration
	// Stuck is how long a client may take to read a message while much waits for it; zero:
	// rpc.Stuck.
	Stuck time.Duration
	// Extra features, for tests.
	Extra []Feature
}

// Exit statuses, as the protocol asks for.
const (
	ExitDone   = 0 // shutdown, then exit
	ExitFailed = 1 // exit, or the end of the stream, without shutdown
)

// Server is one connection with its session.
type Server struct {
	opts     Options
	log      *zap.Logger
	conn     *rpc.Conn
	session  *session.Session
	features map[string]Feature
	started  time.Time

	// Only the goroutine that reads the connection changes these.
	state    state
	client   atomic.Pointer[Client]
	encoding convert.Encoding
	trace    atomic.Value // protocol.TraceValue

	// ctx ends when the server does; work counts what still runs then.
	ctx  context.Context
	stop context.CancelFunc
	work sync.WaitGroup
	done chan int // exit status

	front front // of requests
	mu    sync.Mutex
	live  map[string]*call // requests that are not answered, by the key of their id
	busy  int              // requests that are worked on, answered or not
	held  int              // bytes of their params
	asked map[string]*question

	failures sync.Map // that the client was told of

	push     *pusher
	progress *checkProgress
	pages    *rulePages
	answers  *answers
}

type state uint8

const (
	stateNew state = iota
	stateUp
	stateDown // shut down
)

// call is a request that is being answered.
type call struct {
	cancel    context.CancelFunc
	cancelled atomic.Bool
}

// Serve speaks to one client until it says exit, its stream or process ends, or ctx
// does, and returns the exit status. in is closed at the end if it can be.
func Serve(ctx context.Context, in io.Reader, out io.Writer, opts Options) int {
	s := newServer(ctx, in, out, opts)
	defer s.close(in)
	s.work.Go(func() { s.session.Run(s.ctx, listener{s}) })
	go s.read()
	select {
	case status := <-s.done:
		return status
	case <-s.conn.Lost():
		s.log.Error("nothing reaches the client any more", zap.Error(s.conn.Why()))
		return ExitFailed
	case <-ctx.Done():
		return ExitFailed
	}
}

func newServer(ctx context.Context, in io.Reader, out io.Writer, opts Options) *Server {
	if opts.Log == nil {
		opts.Log = zap.NewNop()
	}
	s := &Server{
		opts: opts, log: opts.Log, started: time.Now(),
		conn:     rpc.NewConn(in, out, opts.Stuck),
		session:  session.New(session.Config{Catalogue: opts.Catalogue, Files: opts.Files, Today: opts.Today}),
		features: map[string]Feature{},
		done:     make(chan int, 1),
		front:    newFront(),
		live:     map[string]*call{},
		asked:    map[string]*question{},
		encoding: convert.UTF16,
		pages:    newRulePages(opts.Catalogue, opts.PageDir),
		answers:  newAnswers(opts.AnswerDir),
	}
	s.client.Store(&Client{})
	s.trace.Store(protocol.TraceValueOff)
	s.ctx, s.stop = context.WithCancel(ctx)
	s.push = &pusher{server: s, published: map[string]published{}, answered: map[string]string{}}
	s.progress = &checkProgress{server: s}
	for _, f := range append(Features(), opts.Extra...) {
		s.features[f.Method] = f
	}
	return s
}

// grace is how long what still runs may take to notice that the server ends, and the
// client to read what is left: all has ended within a second, whatever it waits for.
const grace = 700 * time.Millisecond

// close ends everything that runs.
func (s *Server) close(in io.Reader) {
	s.stop()
	s.progress.end()
	if c, ok := in.(io.Closer); ok {
		_ = c.Close() // there is nobody left to tell
	}
	last, cancel := context.WithTimeout(context.WithoutCancel(s.ctx), grace)
	defer cancel()
	idle := make(chan struct{})
	go func() {
		s.work.Wait()
		close(idle)
	}()
	select {
	case <-idle:
	case <-last.Done():
		s.log.Error("something does not end")
	}
	s.conn.Close(last)
	s.log.Info("done", zap.String("work", s.session.Counts.String()))
}

// exit makes Serve return.
func (s *Server) exit(status int) {
	select {
	case s.done <- status:
	default:
	}
}

// read takes one message after the other.
func (s *Server) read() {
	for {
		m, err := s.conn.Next()
		if err != nil {
			if !errors.Is(err, io.EOF) && s.ctx.Err() == nil {
				s.log.Error("the stream of the client can't be read any more", zap.Error(err))
			}
			status := ExitFailed
			if s.state == stateDown {
				status = ExitDone
			}
			s.exit(status)
			return
		}
		if m.Method == "exit" && m.ID == "" {
			status := ExitFailed
			if s.state == stateDown {
				status = ExitDone
			}
			s.exit(status)
			return
		}
		s.take(m)
	}
}
