//go:build unix

package controller

import (
	"bytes"
	"context"
	"io"
	"net"
	"runtime"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// listens is a listener of which nothing is left at the end of the test.
func listens(t *testing.T, limits Limits) *Listener {
	t.Helper()
	before := runtime.NumGoroutine()
	l, err := Listen(t.Context(), "127.0.0.1:0", limits, func(string) {})
	require.NoError(t, err)
	t.Cleanup(func() {
		_ = l.Close()
		for end := time.Now().Add(5 * time.Second); runtime.NumGoroutine() > before && time.Now().Before(end); {
			time.Sleep(time.Millisecond)
		}
		require.LessOrEqual(t, runtime.NumGoroutine(), before, "goroutines")
	})
	return l
}

func dial(t *testing.T, l *Listener) net.Conn {
	t.Helper()
	c, err := net.Dial("tcp", l.Address())
	require.NoError(t, err)
	t.Cleanup(func() { _ = c.Close() })
	return c
}

// Whatever a client does, an answer or the reason why there is none comes.
func TestClients(t *testing.T) {
	for name, c := range map[string]struct {
		client func(c net.Conn)
		want   string
	}{
		"answers":     {func(c net.Conn) { _, _ = io.WriteString(c, "{}\n") }, ""},
		"leaves":      {func(c net.Conn) { _ = c.Close() }, "it has closed the connection"},
		"half closed": {func(c net.Conn) { _ = c.(*net.TCPConn).CloseWrite() }, "it has closed the connection"},
		"silent":      {func(net.Conn) {}, lateHello},
		"trickles": {func(c net.Conn) {
			go func() {
				for _, err := io.WriteString(c, " "); err == nil; _, err = io.WriteString(c, " ") {
					time.Sleep(5 * time.Millisecond)
				}
			}()
		}, lateHello},
	} {
		t.Run(name, func(t *testing.T) {
			l := listens(t, Limits{Start: 300 * time.Millisecond})
			client := dial(t, l)
			served, err := l.Connect()
			require.NoError(t, err)
			c.client(client)
			_, err = talk(served)
			if c.want == "" {
				require.NoError(t, err)
			} else {
				require.EqualError(t, err, c.want)
			}
			require.NoError(t, served.Close())
			require.NoError(t, served.Close(), "again")
		})
	}
}

// A client that floods is read no further than a line may be long, and does not stay.
func TestAFloodEnds(t *testing.T) {
	l := listens(t, DefaultLimits())
	client, done := dial(t, l), make(chan int64)
	go func() {
		n, _ := io.Copy(client, io.LimitReader(endless{}, 1<<30))
		done <- n
	}()
	served, err := l.Connect()
	require.NoError(t, err)
	_, err = io.ReadFull(served, make([]byte, 1<<16))
	require.NoError(t, err)
	require.NoError(t, served.Close())
	require.Less(t, <-done, int64(1<<30))
}

type endless struct{}

func (endless) Read(to []byte) (int, error) { return copy(to, bytes.Repeat([]byte("x"), len(to))), nil }

// Many who connect at once: one is served, the others are told, and the next one may come.
func TestOneAtATime(t *testing.T) {
	l := listens(t, DefaultLimits())
	first := dial(t, l)
	served, err := l.Connect()
	require.NoError(t, err)
	for range 20 {
		text, err := io.ReadAll(dial(t, l))
		require.NoError(t, err)
		require.Contains(t, string(text), `"because":"another controller is connected"`)
	}
	require.NoError(t, first.Close())
	require.NoError(t, served.Close())
	dial(t, l)
	_, err = l.Connect()
	require.NoError(t, err)
}

// Waiting ends with the context, and with the listener.
func TestWaitingEnds(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	l, err := Listen(ctx, "127.0.0.1:0", Limits{}, func(string) { cancel() })
	require.NoError(t, err)
	_, err = l.Connect()
	require.ErrorIs(t, err, context.Canceled)
	require.NoError(t, l.Close())
	l, err = Listen(t.Context(), "127.0.0.1:0", Limits{}, func(string) {})
	require.NoError(t, err)
	time.AfterFunc(10*time.Millisecond, func() { _ = l.Close() })
	_, err = l.Connect()
	require.ErrorIs(t, err, context.Canceled)
	_, err = Listen(t.Context(), dialled(t), Limits{}, func(string) {})
	require.ErrorContains(t, err, "address already in use")
}

// dialled is an address that is taken.
func dialled(t *testing.T) string {
	t.Helper()
	taken, err := net.Listen("tcp", "127.0.0.1:0")
	require.NoError(t, err)
	t.Cleanup(func() { _ = taken.Close() })
	return taken.Addr().String()
}
