package screencast

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"encoding/xml"
	"errors"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/charmbracelet/x/vt"
	"github.com/creack/pty"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/cmd/holdbench/terminal/page"
	"holdbench/scenarios"
	"holdbench/sim"
)

func load(t *testing.T, name string) *sim.Case {
	t.Helper()
	c, _, err := scenarios.LoadCase(name, scenarios.Overrides{})
	require.NoError(t, err)
	return c
}

// options are those of the command, with few frames.
func options() *Options {
	return &Options{Reference: "lining-worn-thin", Width: 80, Height: 24, FPS: 2, Speed: 1, Dark: true}
}

type event struct {
	atS  float64
	text string
}

// read takes a recording apart as its format says: a header, and lines of time, kind and text.
func read(t *testing.T, text []byte) (header, []event) {
	t.Helper()
	lines := bufio.NewScanner(bytes.NewReader(text))
	lines.Buffer(nil, 1<<20)
	var head header
	require.True(t, lines.Scan())
	require.NoError(t, json.Unmarshal(lines.Bytes(), &head))
	var list []event
	for lines.Scan() {
		var parts []any
		require.NoError(t, json.Unmarshal(lines.Bytes(), &parts))
		require.Len(t, parts, 3)
		assert.Equal(t, "o", parts[1])
		list = append(list, event{parts[0].(float64), parts[2].(string)})
	}
	require.NoError(t, lines.Err())
	return head, list
}

// screen is what a terminal shows that is asked nothing: nobody reads its answers.
func screen(t *testing.T, width, height int, text string) string {
	t.Helper()
	term := vt.NewSafeEmulator(width, height)
	_, err := term.Write([]byte(text))
	require.NoError(t, err)
	shown := plain(term)
	require.NoError(t, term.Close())
	return shown
}

func plain(term *vt.SafeEmulator) string {
	var lines []string
	for y := range term.Height() {
		var line strings.Builder
		for x := range term.Width() {
			sign := " "
			if c := term.CellAt(x, y); c != nil && c.Content != "" {
				sign = c.Content
			}
			line.WriteString(sign)
		}
		lines = append(lines, strings.TrimRight(line.String(), " "))
	}
	return strings.Join(lines, "\n")
}

// A terminal that plays the recording shows the run at each time of a frame, and its outcome at the end.
func TestCast(t *testing.T) {
	t.Parallel()
	got, err := Cast(t.Context(), load(t, "lining-worn-thin"), options())
	require.NoError(t, err)
	head, events := read(t, got.Text)
	assert.Equal(t, header{Version: 2, Width: 80, Height: 24, Title: "holdbench: lining-worn-thin", Env: map[string]string{"TERM": "xterm-256color"}}, head)
	assert.Zero(t, events[0].atS)
	assert.InDelta(t, got.LengthS, events[len(events)-1].atS, 1e-6)
	var played strings.Builder
	for i, e := range events {
		if i > 0 {
			assert.Greater(t, e.atS, events[i-1].atS)
		}
		if e.atS == 4 {
			played.WriteString(e.text)
			assert.Contains(t, screen(t, 80, 24, played.String()), "4.000 s", "a frame at 4 s shows the run at 4 s")
			continue
		}
		if i < len(events)-1 {
			played.WriteString(e.text)
		}
	}
	end := screen(t, 80, 24, played.String())
	assert.Contains(t, end, "■ ended")
	assert.Contains(t, end, "✗ fail")
	assert.Contains(t, end, "caught")
}

// The same run gives the same bytes.
func TestTheSameBytes(t *testing.T) {
	t.Parallel()
	for name, write := range map[string]func(context.Context, *sim.Case, *Options) (*Recording, error){"cast": Cast, "svg": SVG} {
		o := options()
		o.To = 4 * time.Second
		one, err := write(t.Context(), load(t, "lining-worn-thin"), o)
		require.NoError(t, err)
		other, err := write(t.Context(), load(t, "lining-worn-thin"), o)
		require.NoError(t, err)
		assert.True(t, bytes.Equal(one.Text, other.Text), name)
	}
}

// Time runs as fast as it was asked for, from one moment of the run to another.
func TestTimes(t *testing.T) {
	t.Parallel()
	for _, x := range []struct {
		name          string
		speed         float64
		fps           int
		from, to      time.Duration
		frames        int
		lengthS       float64
		first, latest string
	}{
		{"Real", 1, 2, 0, 2 * time.Second, 5, 4, "0.000 s", "2.000 s"},
		{"Slow", 0.1, 10, 3 * time.Second, 3200 * time.Millisecond, 21, 4, "3.000 s", "3.200 s"},
		{"Fast", 4, 1, 0, 6 * time.Second, 3, 4, "0.000 s", "6.000 s"},
	} {
		t.Run(x.name, func(t *testing.T) {
			t.Parallel()
			o := options()
			o.Speed, o.FPS, o.From, o.To = x.speed, x.fps, x.from, x.to
			got, err := Cast(t.Context(), load(t, "lining-worn-thin"), o)
			require.NoError(t, err)
			assert.Equal(t, x.frames, got.Frames)
			assert.InDelta(t, x.lengthS, got.LengthS, 1e-9)
			_, events := read(t, got.Text)
			assert.Contains(t, screen(t, 80, 24, events[0].text), x.first)
			assert.Contains(t, events[len(events)-2].text, x.latest)
		})
	}
}

// What is hidden is nowhere in the file.
func TestHiddenTruth(t *testing.T) {
	t.Parallel()
	for name, write := range map[string]func(context.Context, *sim.Case, *Options) (*Recording, error){"cast": Cast, "svg": SVG} {
		o := options()
		shown, err := write(t.Context(), load(t, "lining-worn-thin"), o)
		require.NoError(t, err)
		o.HideTruth = true
		hidden, err := write(t.Context(), load(t, "lining-worn-thin"), o)
		require.NoError(t, err)
		for _, secret := range []string{"worn", "•", "caught", "1 fault"} {
			assert.Contains(t, string(shown.Text), secret, name)
			assert.NotContains(t, string(hidden.Text), secret, name)
		}
	}
}

// A recording that would be too long, or begins behind the end, is refused.
func TestBounds(t *testing.T) {
	t.Parallel()
	o := options()
	o.From = time.Minute
	_, err := Cast(t.Context(), load(t, "lining-worn-thin"), o)
	require.ErrorContains(t, err, "--from is 1m, and the run ends at 19.")
	ctx, stop := context.WithCancel(t.Context())
	stop()
	_, err = SVG(ctx, load(t, "lining-worn-thin"), options())
	require.ErrorIs(t, err, context.Canceled)
	film := func() film { return &animation{page.NewAnimation("", true)} }
	_, err = record(t.Context(), load(t, "lining-worn-thin"), options(), film(), limits{frames: 3, bytes: 1 << 20})
	require.ErrorContains(t, err, "more than 3 frames")
	_, err = record(t.Context(), load(t, "lining-worn-thin"), options(), film(), limits{frames: 100, bytes: 1 << 16})
	require.ErrorContains(t, err, "more than 65536 bytes")
}

// The picture is well-formed, and its size stays within what the help says of it: 80 kB for a second at ten frames.
func TestSVG(t *testing.T) {
	t.Parallel()
	o := options()
	o.FPS = 10
	got, err := SVG(t.Context(), load(t, "lining-worn-thin"), o)
	require.NoError(t, err)
	decoder := xml.NewDecoder(bytes.NewReader(got.Text))
	for {
		_, err := decoder.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		require.NoError(t, err)
	}
	assert.Less(t, float64(len(got.Text))/got.LengthS, 90e3)
	assert.Contains(t, string(got.Text), "repeatCount=\"indefinite\"")
}

// A player of another origin plays the recording.
func TestAnotherPlayer(t *testing.T) {
	if _, err := exec.LookPath("asciinema"); err != nil {
		t.Skip("asciinema of Debian is not there")
	}
	o := options()
	o.To = 5 * time.Second
	got, err := Cast(t.Context(), load(t, "lining-worn-thin"), o)
	require.NoError(t, err)
	path := filepath.Join(t.TempDir(), "run.cast")
	require.NoError(t, os.WriteFile(path, got.Text, 0o600))
	player := exec.CommandContext(t.Context(), "asciinema", "cat", path)
	player.Env = append(os.Environ(), "ASCIINEMA_CONFIG_HOME="+t.TempDir(), "LC_ALL=C.UTF-8")
	master, err := pty.StartWithSize(player, &pty.Winsize{Rows: 24, Cols: 80})
	require.NoError(t, err)
	played, _ := io.ReadAll(master) // ends with an error once the player is gone
	require.NoError(t, master.Close())
	require.NoError(t, player.Wait(), string(played))
	_, events := read(t, got.Text)
	var want strings.Builder
	for _, e := range events {
		want.WriteString(e.text)
	}
	assert.Equal(t, screen(t, 80, 24, want.String()), screen(t, 80, 24, string(played)))
	assert.Contains(t, screen(t, 80, 24, string(played)), "5.000 s")
}

// The large screen is recorded as the bench draws it, one view at a time.
func TestLargeScreen(t *testing.T) {
	t.Parallel()
	o := options()
	o.Large, o.To = true, time.Second
	for _, o.View = range Views() {
		made, err := SVG(t.Context(), load(t, "lining-worn-thin"), o)
		require.NoError(t, err)
		marked := "[" + o.View
		assert.True(t, bytes.Contains(made.Text, []byte(marked)), "%s is the view that is marked", o.View)
		assert.False(t, bytes.Contains(made.Text, []byte("transitions")), "no pane of the small screen")
	}
}
