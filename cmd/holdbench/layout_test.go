package main

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// ours is the module's own name, ahead of every import of its packages.
const ours = "holdbench/"

// arrows is which folder may import which (the aim of the element). A folder stands for
// everything below it; what is not listed may import everything.
func arrows() map[string][]string {
	return map[string][]string{
		"plant":     {"plant"},
		"sequence":  {"sequence", "plant/problem"},
		"sim":       {"plant", "sequence", "sim"},
		"scenarios": {"plant", "sequence", "sim", "scenarios"},
	}
}

// goFile is one file of the module that is no test.
type goFile struct {
	path   string // from the module's root, with slashes
	folder string // first part of the path
	tree   *ast.File
	set    *token.FileSet
}

func goFiles(t *testing.T) []goFile {
	t.Helper()
	root := filepath.Join("..", "..")
	var files []goFile
	err := filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() && path != root && strings.HasPrefix(d.Name(), ".") || d.IsDir() && d.Name() == "testdata" {
			return filepath.SkipDir
		}
		if d.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
			return nil
		}
		set := token.NewFileSet()
		tree, err := parser.ParseFile(set, path, nil, parser.SkipObjectResolution|parser.ParseComments)
		if err != nil {
			return err
		}
		relative, err := filepath.Rel(root, path)
		if err != nil {
			return err
		}
		relative = filepath.ToSlash(relative)
		folder, _, _ := strings.Cut(relative, "/")
		files = append(files, goFile{relative, folder, tree, set})
		return nil
	})
	require.NoError(t, err)
	require.NotEmpty(t, files)
	return files
}

func (f *goFile) line(at token.Pos) int { return f.set.Position(at).Line }

// Arrows between packages point one way, and nothing imports a command.
func TestImportsPointOneWay(t *testing.T) {
	for _, f := range goFiles(t) {
		allowed, limited := arrows()[f.folder]
		for _, i := range f.tree.Imports {
			path, err := strconv.Unquote(i.Path.Value)
			require.NoError(t, err)
			inside, own := strings.CutPrefix(path, ours)
			if !own {
				continue
			}
			folder, _, _ := strings.Cut(inside, "/")
			if limited && !slices.Contains(allowed, folder) && !slices.Contains(allowed, inside) {
				t.Errorf("%s:%d: %s must not import %s", f.path, f.line(i.Pos()), f.folder, path)
			}
			if folder == "cmd" && f.folder != "cmd" {
				t.Errorf("%s:%d: nothing imports a command, found %s", f.path, f.line(i.Pos()), path)
			}
		}
	}
}

// A run is a pure function of its documents and its seed: no clock and no random
// source but those handed in.
func TestNoClockAndNoGlobalRandomness(t *testing.T) {
	for _, f := range goFiles(t) {
		if f.folder == "cmd" {
			continue
		}
		names := importedAs(f.tree)
		ast.Inspect(f.tree, func(n ast.Node) bool {
			s, ok := n.(*ast.SelectorExpr)
			if !ok {
				return true
			}
			if x, ok := s.X.(*ast.Ident); ok && impure(names[x.Name], s.Sel.Name) {
				t.Errorf("%s:%d: %s.%s is not handed in", f.path, f.line(s.Pos()), x.Name, s.Sel.Name)
			}
			return true
		})
	}
}

// importedAs maps the names of a file's imports to their paths.
func importedAs(tree *ast.File) map[string]string {
	names := map[string]string{}
	for _, i := range tree.Imports {
		path, _ := strconv.Unquote(i.Path.Value)
		name := path[strings.LastIndex(path, "/")+1:]
		if path == "math/rand/v2" {
			name = "rand"
		}
		if i.Name != nil {
			name = i.Name.Name
		}
		names[name] = path
	}
	return names
}

// impure tells functions that bring in the wall clock or the global random source.
// Of math/rand only what makes a source of its own, or names a type, is pure.
func impure(path, name string) bool {
	switch path {
	case "time":
		return slices.Contains([]string{"Now", "Since", "Until", "After", "AfterFunc", "Tick", "Sleep", "NewTimer", "NewTicker"}, name)
	case "math/rand", "math/rand/v2":
		return !slices.Contains([]string{"New", "NewPCG", "NewChaCha8", "NewSource", "NewZipf", "Rand", "Source", "PCG", "ChaCha8", "Zipf"}, name)
	case "crypto/rand":
		return true
	}
	return false
}

// A function fits on a screen.
func TestFunctionsAreShort(t *testing.T) {
	const most = 60
	for _, f := range goFiles(t) {
		ast.Inspect(f.tree, func(n ast.Node) bool {
			var name string
			switch d := n.(type) {
			case *ast.FuncDecl:
				name = d.Name.Name
			case *ast.FuncLit:
				name = "a function literal"
			default:
				return true
			}
			if lines := f.line(n.End()) - f.line(n.Pos()) + 1; lines > most {
				t.Errorf("%s:%d: %s has %d lines; at most %d", f.path, f.line(n.Pos()), name, lines, most)
			}
			return true
		})
	}
}

// No state of a package changes while the program runs: a variable of a package is an
// embedded file, or its comment says why it is no state; the linter wants that comment.
func TestNoPackageState(t *testing.T) {
	for _, f := range goFiles(t) {
		for _, d := range f.tree.Decls {
			switch d := d.(type) {
			case *ast.FuncDecl:
				// one package is there for what it does first
				if d.Recv == nil && d.Name.Name == "init" && f.path != "cmd/holdbench/terminal/unasked/unasked.go" {
					t.Errorf("%s:%d: init hides what a program does first", f.path, f.line(d.Pos()))
				}
			case *ast.GenDecl:
				if d.Tok == token.VAR && !embedded(d) && !argued(d) && !onlyBlank(d) {
					t.Errorf("%s:%d: a variable of the package", f.path, f.line(d.Pos()))
				}
			}
		}
	}
}

func embedded(d *ast.GenDecl) bool {
	return d.Doc != nil && slices.ContainsFunc(d.Doc.List, func(c *ast.Comment) bool {
		return strings.HasPrefix(c.Text, "//go:embed ")
	})
}

// argued tells whether a comment names the linter's rule and gives the reason.
func argued(d *ast.GenDecl) bool {
	return d.Doc != nil && slices.ContainsFunc(d.Doc.List, func(c *ast.Comment) bool {
		return strings.HasPrefix(c.Text, "//nolint:gochecknoglobals // ")
	})
}

// onlyBlank is a check for the compiler, such as var _ io.Reader = (*thing)(nil).
func onlyBlank(d *ast.GenDecl) bool {
	for _, s := range d.Specs {
		for _, name := range s.(*ast.ValueSpec).Names {
			if name.Name != "_" {
				return false
			}
		}
	}
	return true
}
