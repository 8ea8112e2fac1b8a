package command

import "context"

// Interruptible does work that takes no context, such as the reading of documents, and gives up waiting for it
// once the context ends; the process is about to end then.
func Interruptible[T any](ctx context.Context, doing string, work func() (T, error)) (T, error) {
	interrupted := func() (T, error) {
		var none T
		return none, Interrupted("interrupted while %s", doing)
	}
	if ctx.Err() != nil {
		return interrupted()
	}
	type outcome struct {
		value T
		err   error
	}
	done := make(chan outcome, 1)
	go func() {
		value, err := work()
		done <- outcome{value, err}
	}()
	select {
	case o := <-done:
		return o.value, o.err
	case <-ctx.Done():
		return interrupted()
	}
}
