package st_test

import (
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"holdbench/plant/problem"
	"holdbench/sequence/st"
)

var update = flag.Bool("update", false, "rewrite the golden files")

// Every error of a file is reported at once, in the order of the text, with its place and what
// would be right.
func TestErrorMessages(t *testing.T) {
	t.Parallel()
	files, err := filepath.Glob("testdata/errors/*.st")
	require.NoError(t, err)
	require.NotEmpty(t, files)
	for _, file := range files {
		t.Run(filepath.Base(file), func(t *testing.T) {
			t.Parallel()
			text, err := os.ReadFile(file)
			require.NoError(t, err)
			_, warnings, err := st.Compile(filepath.Base(file), string(text))
			require.Error(t, err)
			got := warnings.Error() + "\n" + problem.Of(err).Error() + "\n"
			got = strings.TrimPrefix(got, "\n")
			golden := strings.TrimSuffix(file, ".st") + ".txt"
			if *update {
				require.NoError(t, os.WriteFile(golden, []byte(got), 0o600))
			}
			want, err := os.ReadFile(golden)
			require.NoError(t, err)
			wantLines, gotLines := strings.Split(string(want), "\n"), strings.Split(got, "\n")
			for i := range min(len(wantLines), len(gotLines)) {
				require.Equal(t, wantLines[i], gotLines[i], "line %d", i+1)
			}
			require.Len(t, gotLines, len(wantLines))
		})
	}
}
