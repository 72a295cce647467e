package main

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"slices"
	"strings"
)

// change puts other text in place of the bytes from start to end.
type change struct {
	start, end, line int
	text, what       string
}

// applied returns the source with the change made.
func (c change) applied(source []byte) []byte {
	return slices.Concat(source[:c.start], []byte(c.text), source[c.end:])
}

// changesOf lists the changes that can be made to a file, in the order of its text.
func changesOf(name string, source []byte) ([]change, error) {
	files := token.NewFileSet()
	file, err := parser.ParseFile(files, name, source, parser.SkipObjectResolution)
	if err != nil {
		return nil, err
	}
	var out []change
	replace := func(from, to token.Pos, text, what string) {
		at := files.Position(from)
		out = append(out, change{at.Offset, files.Position(to).Offset, at.Line, text, what})
	}
	operator := func(at token.Pos, op token.Token) {
		if other, ok := swapped[op]; ok {
			replace(at, at+token.Pos(len(op.String())), other.String(), fmt.Sprintf("%s becomes %s", op, other))
		}
	}
	ast.Inspect(file, func(n ast.Node) bool {
		switch n := n.(type) {
		case *ast.ImportSpec:
			return false
		case *ast.BinaryExpr:
			operator(n.OpPos, n.Op)
		case *ast.AssignStmt:
			operator(n.TokPos, n.Tok)
		case *ast.BasicLit:
			if (n.Kind == token.INT || n.Kind == token.FLOAT) && strings.Trim(n.Value, "0.") != "" {
				replace(n.Pos(), n.End(), "("+n.Value+"*2)", n.Value+" becomes twice as much")
			}
		case *ast.IfStmt:
			replace(n.Body.Lbrace+1, n.Body.Rbrace, "", "what follows the if is left out")
		case *ast.ExprStmt:
			replace(n.Pos(), n.End(), "", "the call is left out")
		}
		return true
	})
	return out, nil
}
