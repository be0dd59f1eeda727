package daemon

import (
	"context"
	"errors"
	"log/slog"
)

// earlier is what the record is to have before the first service that is watched. The
// record has one writer and an order of runs, so what is watched meanwhile waits in
// memory: seconds of it. The zero value is nothing.
type earlier struct {
	record func(context.Context) error
	done   chan struct{} // closed once it is in the record, or cannot be
}

// isAtWork reports whether what is watched has to wait.
func (e earlier) isAtWork() bool {
	select {
	case <-e.done:
		return false
	default:
		return e.done != nil
	}
}

// start begins to record in the background, and gives what waits for the end of that.
func (e earlier) start(ctx context.Context, log *slog.Logger) (wait func()) {
	if e.done == nil {
		return func() {}
	}
	go func() {
		defer close(e.done)
		if err := e.record(ctx); err != nil && !errors.Is(err, context.Canceled) {
			log.Warn("earlier services are missing from the record", "error", err)
		}
	}()
	return func() { <-e.done }
}
