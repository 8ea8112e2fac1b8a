package remote_test

import (
	"bytes"
	"io"
	"testing"
	"time"
	"unicode"

	"github.com/stretchr/testify/require"

	"holdbench/scenarios"
	"holdbench/sequence"
	"holdbench/sim/remote"
)

// scripted is a connection that answers each line with the next of its own, whatever was asked.
type scripted struct{ rest, line []byte }

func (s *scripted) Write(lines []byte) (int, error) {
	line, rest, found := bytes.Cut(s.rest, []byte("\n"))
	if found {
		line = s.rest[:len(line)+1]
	}
	s.line, s.rest = line, rest
	return len(lines), nil
}

func (s *scripted) Read(to []byte) (int, error) {
	if len(s.line) == 0 {
		return 0, io.EOF
	}
	n := copy(to, s.line)
	s.line = s.line[n:]
	return n, nil
}

func (s *scripted) Close() error { return nil }

// FuzzConversation is a controller that says anything, from its greeting on, through scans, a copy and a loss of
// power. Nothing panics, and what is wrong is said in words that a terminal can show.
func FuzzConversation(f *testing.F) {
	f.Add([]byte("{}\n{\"outputs\":{\"drive\":\"hold\"}}\n{\"state\":\"travel\"}\n{\"end\":\"pass\"}\n{}\n"))
	f.Add([]byte(`{"version":1,"name":"c","states":[{"name":"a"},{"name":"b","end":"fail"}],"start":"a","power_up":"b","outputs":["drive","alarm"]}` + "\n" +
		`{"n":1,"state":"a","outputs":{"alarm":"\u001b[31m"}}` + "\n" + `{"n":2,"state":"b","cause":"moved","transition":"a/0"}` + "\n{}\n{}\n"))
	f.Add([]byte(`{"states":[{"name":"\u0007"}]}` + "\n"))
	f.Add([]byte("{}\r\n\n{"))
	base, _, err := scenarios.LoadLogic("reference", scenarios.Below)
	require.NoError(f, err)
	f.Fuzz(func(t *testing.T, text []byte) {
		p := remote.NewPool(remote.Options{Most: 2, Source: "fuzz", AnswerWithin: time.Second, Connect: func() (io.ReadWriteCloser, error) {
			return &scripted{rest: text}, nil
		}})
		defer func() { requireShown(t, p.Close()) }()
		logic, err := p.Logic(base, "rig", time.Millisecond)
		if requireShown(t, err); err != nil {
			return
		}
		c := logic.New(time.Millisecond)
		in, out := sequence.Inputs{}, sequence.DefaultOutputs()
		for n := range 6 {
			if n == 3 {
				if other, ok := c.Copy(); ok {
					c = other
				}
				c.PowerUp()
			}
			fired, err := c.Scan(&in, &out)
			if requireShown(t, err); err != nil {
				return
			}
			requirePlain(t, out.Alarm)
			requirePlain(t, fired.Event+c.Cause())
			require.Less(t, c.StateIndex(), len(logic.About().States))
		}
	})
}

// requireShown is that an error has a length and characters that a terminal can show.
func requireShown(t *testing.T, err error) {
	t.Helper()
	if err != nil {
		require.Less(t, len(err.Error()), 4000)
		requirePlain(t, err.Error())
	}
}

func requirePlain(t *testing.T, text string) {
	t.Helper()
	for _, r := range text {
		require.False(t, unicode.IsControl(r) && r != '\n', "%q", text)
	}
}
