package progress

import (
	"os"
	"path/filepath"
	"runtime"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestFile(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("absolute names begin with a drive there")
	}
	for _, c := range []struct {
		env  map[string]string
		want string
	}{
		{map[string]string{"XDG_STATE_HOME": "/state", "HOME": "/home/me"}, "/state/holdbench/course.json"},
		{map[string]string{"HOME": "/home/me"}, "/home/me/.local/state/holdbench/course.json"},
		{map[string]string{"XDG_STATE_HOME": "state", "HOME": "/home/me"}, "/home/me/.local/state/holdbench/course.json"},
		{nil, ""},
	} {
		assert.Equal(t, c.want, File(func(name string) string { return c.env[name] }))
	}
}

// What was done is there the next time, with what another bench has done meanwhile.
func TestFinishIsKept(t *testing.T) {
	file := filepath.Join(t.TempDir(), "state", "holdbench", "course.json")
	one, other := Open(file), Open(file)
	require.NoError(t, one.Fault())
	require.NoError(t, one.Finish("lining-worn-thin", Score{4, 3, 1})())
	require.NoError(t, other.Finish("healthy-arm", Score{2, 2, 0})())
	again := Open(file)
	require.NoError(t, again.Fault())
	for name, want := range map[string]Score{"lining-worn-thin": {4, 3, 1}, "healthy-arm": {2, 2, 0}} {
		got, done := again.Done(name)
		require.True(t, done, name)
		require.Equal(t, want, got)
	}
	_, done := again.Done("oil-on-the-lining")
	require.False(t, done)
}

// A lesson that is played again keeps its best score, in the file as well; of other questions the newest counts.
func TestBestScoreIsKept(t *testing.T) {
	file := filepath.Join(t.TempDir(), "course.json")
	for _, c := range []struct{ now, want Score }{
		{Score{3, 1, 1}, Score{3, 1, 1}},
		{Score{3, 2, 0}, Score{3, 2, 0}},
		{Score{3, 1, 2}, Score{3, 2, 0}},
		{Score{3, 2, 1}, Score{3, 2, 1}},
		{Score{4, 1, 0}, Score{4, 1, 0}},
	} {
		s := Open(file)
		require.NoError(t, s.Finish("healthy-arm", c.now)())
		for _, kept := range []*Store{s, Open(file)} {
			got, _ := kept.Done("healthy-arm")
			require.Equal(t, c.want, got)
		}
	}
}

// A damaged file is left as it is, and the course goes on without it.
func TestDamagedFileIsLeft(t *testing.T) {
	for text, want := range map[string]string{
		"":               "is damaged: EOF",
		"{":              "is damaged: unexpected EOF",
		`[1]`:            "is damaged: json: cannot unmarshal array",
		`{"course":"x"}`: `is damaged: course is "x"; must be "brake-test"`,
		`{"course":"brake-test","lessons":{"a":{"asked":1,"right":2}}}`: `lesson "a" has 2 right and 0 near of 1 questions`,
	} {
		file := filepath.Join(t.TempDir(), "course.json")
		require.NoError(t, os.WriteFile(file, []byte(text), 0o600))
		s := Open(file)
		require.ErrorContains(t, s.Fault(), want, text)
		require.ErrorContains(t, s.Fault(), "remove it to begin again")
		require.Nil(t, s.Finish("healthy-arm", Score{2, 2, 0}))
		_, done := s.Done("healthy-arm")
		require.True(t, done, "it counts until the end of the program")
		left, err := os.ReadFile(file)
		require.NoError(t, err)
		require.Equal(t, text, string(left))
	}
}

// A file that is damaged after it was read is not overwritten either, and a place that cannot be written is an error.
func TestUnwritable(t *testing.T) {
	folder := t.TempDir()
	file := filepath.Join(folder, "course.json")
	s := Open(file)
	require.NoError(t, os.WriteFile(file, []byte("{"), 0o600))
	require.ErrorContains(t, s.Finish("healthy-arm", Score{2, 2, 0})(), "is damaged")

	beside := filepath.Join(folder, "plain", "course.json")
	s = Open(beside)
	require.NoError(t, s.Fault())
	require.NoError(t, os.WriteFile(filepath.Join(folder, "plain"), nil, 0o600))
	require.ErrorContains(t, s.Finish("healthy-arm", Score{2, 2, 0})(), "progress is not kept: ")

	require.ErrorContains(t, Open("").Fault(), "neither XDG_STATE_HOME nor HOME")
	require.ErrorContains(t, Open(folder).Fault(), "progress cannot be read")
	require.Nil(t, InMemory().Finish("healthy-arm", Score{}))
}
