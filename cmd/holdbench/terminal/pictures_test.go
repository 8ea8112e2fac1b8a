package terminal

import (
	"os"
	"path/filepath"
	"regexp"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The pictures of the README are screens that the program saves itself, and they are those
// of today's program.
func TestPictures(t *testing.T) {
	t.Parallel()
	for name, keys := range map[string][]string{
		"caught": {"s", "s", "s", "s", "s", "s", "s", "s"},
		"lesson": {"n", "enter", "end", "2", "enter", "end"},
	} {
		t.Run(name, func(t *testing.T) {
			s := opened(t, "lining-worn-thin", 120, 40)
			s.press(keys...)
			if name == "caught" {
				require.Contains(t, s.text(), "arrest_load (slipped)                   0.000 s", "just after the judge has failed it")
			} else {
				require.Contains(t, s.text(), "2 of 6", "a stop of the lesson")
			}
			s.folder = t.TempDir()
			s.press("w")
			saved, err := filepath.Glob(filepath.Join(s.folder, "*.svg"))
			require.NoError(t, err)
			require.Len(t, saved, 1)
			fresh, err := os.ReadFile(saved[0])
			require.NoError(t, err)
			file := filepath.Join("pictures", name+".svg")
			if *update {
				require.NoError(t, os.WriteFile(file, fresh, 0o644))
			}
			kept, err := os.ReadFile(file)
			require.NoError(t, err)
			assert.Equal(t, string(kept), string(fresh), "run with -update, and look at the picture")
		})
	}
}

// What the README links to is there.
func TestReadmeLinks(t *testing.T) {
	t.Parallel()
	root := filepath.Join("..", "..", "..")
	text, err := os.ReadFile(filepath.Join(root, "README.md"))
	require.NoError(t, err)
	links := regexp.MustCompile(`\]\(([^)#]+)\)`).FindAllStringSubmatch(string(text), -1)
	require.NotEmpty(t, links)
	for _, link := range links {
		assert.FileExists(t, filepath.Join(root, link[1]))
	}
}
