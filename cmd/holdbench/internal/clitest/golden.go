package clitest

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"

	"github.com/muesli/termenv"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/cmd/holdbench/internal/page"
)

// PlainScreen is a screen of so many columns without colours.
func PlainScreen(width int, ascii bool) *page.Screen {
	return &page.Screen{Width: width, ASCII: ascii, Style: page.NewStyles(&bytes.Buffer{}, termenv.Ascii)}
}

// Golden holds a page against the file of that name in a folder of testdata.
func Golden(t *testing.T, folder, name, got string) {
	t.Helper()
	file := filepath.Join("testdata", folder, name)
	if Updating() {
		require.NoError(t, os.MkdirAll(filepath.Dir(file), 0o755))
		require.NoError(t, os.WriteFile(file, []byte(got), 0o644))
	}
	want, err := os.ReadFile(file)
	require.NoError(t, err)
	assert.Equal(t, string(want), got, "run with -update if the new page is better, and look at it")
}
