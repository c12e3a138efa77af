package tables

import (
	"embed"
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"math"
	"reflect"
	"strconv"
	"strings"
	"sync"
)

// Column describes one column of a table.
type Column struct {
	Name     string
	Type     string // string, integer, number, boolean, timestamp or date
	Optional bool   // may be missing
	Unit     string // "" where a unit makes no sense
	Meaning  string
	Source   string // "" where the meaning is the whole definition

	field  int // index in the row type
	digits int // decimals kept; -1 for all
}

// The dictionary's texts are the comments above the fields, so that the
// sentence a developer reads and the one an analyst reads are the same.
//
//go:embed rows.go rows_coach.go
var rowSources embed.FS

// comments gives "Type.Field" and "Type" to comment text.
var comments = sync.OnceValue(func() map[string]string {
	out := map[string]string{}
	entries, err := rowSources.ReadDir(".")
	if err != nil {
		panic("tables: embedded sources: " + err.Error())
	}
	for _, e := range entries {
		src, err := rowSources.ReadFile(e.Name())
		if err != nil {
			panic("tables: embedded sources: " + err.Error())
		}
		file, err := parser.ParseFile(token.NewFileSet(), e.Name(), src, parser.ParseComments)
		if err != nil {
			panic("tables: embedded sources: " + err.Error())
		}
		collectComments(file, out)
	}
	return out
})

func collectComments(file *ast.File, out map[string]string) {
	oneLine := func(g *ast.CommentGroup) string { return strings.Join(strings.Fields(g.Text()), " ") }
	for _, decl := range file.Decls {
		gen, ok := decl.(*ast.GenDecl)
		if !ok || gen.Tok != token.TYPE {
			continue
		}
		for _, spec := range gen.Specs {
			ts := spec.(*ast.TypeSpec)
			st, ok := ts.Type.(*ast.StructType)
			if !ok {
				continue
			}
			out[ts.Name.Name] = oneLine(gen.Doc)
			for _, f := range st.Fields.List {
				for _, name := range f.Names {
					out[ts.Name.Name+"."+name.Name] = oneLine(f.Doc)
				}
			}
		}
	}
}

// columnsOf reads a row type's columns from its tags and comments.
func columnsOf(row reflect.Type) []Column {
	cols := make([]Column, 0, row.NumField())
	for i := range row.NumField() {
		f := row.Field(i)
		if !f.IsExported() {
			continue
		}
		name, options, _ := strings.Cut(f.Tag.Get("parquet"), ",")
		c := Column{Name: name, Unit: f.Tag.Get("unit"), field: i, digits: -1}
		if d, ok := f.Tag.Lookup("digits"); ok {
			n, err := strconv.Atoi(d)
			if err != nil {
				panic(fmt.Sprintf("tables: digits of %s.%s: %v", row.Name(), f.Name, err))
			}
			c.digits = n
		}
		ft := f.Type
		c.Optional = strings.Contains(options, "optional")
		if ft.Kind() == reflect.Pointer {
			c.Optional, ft = true, ft.Elem()
		}
		c.Type = typeWord(ft, options)
		c.Meaning, c.Source, _ = strings.Cut(comments()[row.Name()+"."+f.Name], " Source: ")
		c.Source = strings.TrimSuffix(c.Source, ".")
		cols = append(cols, c)
	}
	return cols
}

func typeWord(t reflect.Type, options string) string {
	switch {
	case strings.Contains(options, "timestamp"):
		return "timestamp"
	case strings.Contains(options, "date"):
		return "date"
	}
	switch t.Kind() {
	case reflect.String:
		return "string"
	case reflect.Bool:
		return "boolean"
	case reflect.Int32, reflect.Int64:
		return "integer"
	case reflect.Float64:
		return "number"
	}
	panic("tables: no word for " + t.String())
}

// Num is a column value for x: missing when x is NaN or infinite, which is no
// number to an analyst, and none that JSON can hold.
func Num(x float64) *float64 {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return nil
	}
	return &x
}

// Value is the number in a column: NaN when missing.
func Value(p *float64) float64 {
	if p == nil {
		return math.NaN()
	}
	return *p
}
