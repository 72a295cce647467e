package page

import (
	"net/http"
	"regexp"
	"slices"
	"strconv"
	"strings"
)

// edit returns a brief's text with the changes of a question in it; comments, order and everything else stay
// as they are. What it writes is read as a brief before it is saved.
func edit(text string, q *Question) (string, error) {
	if q.Text != nil {
		return *q.Text, nil
	}
	ends := "\n"
	if strings.Contains(text, "\r\n") {
		ends = "\r\n"
	}
	lines := strings.Split(strings.ReplaceAll(text, "\r\n", "\n"), "\n")
	var err error
	for _, name := range keys(q.Targets) {
		span := q.Targets[name]
		if span.Min == nil && span.Max == nil { // a brief has no target that asks for nothing
			lines = dropTarget(lines, name)
			continue
		}
		if lines, err = setKey(lines, "targets", name, "min", span.Min); err != nil {
			return "", err
		}
		if lines, err = setKey(lines, "targets", name, "max", span.Max); err != nil {
			return "", err
		}
	}
	for _, name := range keys(q.Prices) {
		price := q.Prices[name]
		if lines, err = setKey(lines, "limits", name, "price_per_kg", &price); err != nil {
			return "", err
		}
	}
	out := strings.Join(lines, "\n")
	for _, name := range q.Without {
		if out, err = withoutUse(out, name); err != nil {
			return "", err
		}
	}
	return strings.ReplaceAll(out, "\n", ends), nil
}

func decimal(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }

// header matches a table header such as [targets.bitterness] or [targets."aroma-citrus"].
func header(group, name string) *regexp.Regexp {
	quoted := regexp.QuoteMeta(name)
	return regexp.MustCompile(`^\s*\[\s*` + group + `\s*\.\s*(` + quoted + `|"` + quoted + `"|'` + quoted + `')\s*\]`)
}

var anyHeader = regexp.MustCompile(`^\s*\[`)

// setKey puts a value at group.name.key, or takes the key away when there is none: in the table of that
// header, in an inline table, or in a new table at the end.
func setKey(lines []string, group, name, key string, value *float64) ([]string, error) {
	at := slices.IndexFunc(lines, header(group, name).MatchString)
	if at >= 0 {
		return setInTable(lines, at, key, value), nil
	}
	if at := inlineTable(lines, group, name); at >= 0 {
		line, ok := setInline(lines[at], key, value)
		if !ok {
			return nil, wrong(http.StatusConflict, "line %d is written in a way that the page does not change: mend it in the text", at+1)
		}
		lines[at] = line
		return lines, nil
	}
	if value == nil {
		return lines, nil
	}
	for len(lines) > 0 && strings.TrimSpace(lines[len(lines)-1]) == "" {
		lines = lines[:len(lines)-1]
	}
	return append(lines, "", "["+group+"."+name+"]", key+" = "+decimal(*value), ""), nil
}

// dropTarget takes the table of a target away; comments and empty lines in it stay.
func dropTarget(lines []string, name string) []string {
	if at := slices.IndexFunc(lines, header("targets", name).MatchString); at >= 0 {
		kept := slices.Clone(lines[:at])
		for at++; at < len(lines) && !anyHeader.MatchString(lines[at]); at++ {
			if text := strings.TrimSpace(lines[at]); text == "" || strings.HasPrefix(text, "#") {
				kept = append(kept, lines[at])
			}
		}
		return append(kept, lines[at:]...)
	}
	if at := inlineTable(lines, "targets", name); at >= 0 {
		return slices.Delete(slices.Clone(lines), at, at+1)
	}
	return lines
}

// setInTable changes a key among the lines after a header.
func setInTable(lines []string, at int, key string, value *float64) []string {
	assignment := regexp.MustCompile(`^(\s*` + regexp.QuoteMeta(key) + `\s*=\s*)([^\s#]+)(.*)$`)
	end := at + 1
	for end < len(lines) && !anyHeader.MatchString(lines[end]) {
		if parts := assignment.FindStringSubmatch(lines[end]); parts != nil {
			if value == nil {
				return slices.Delete(lines, end, end+1)
			}
			if old, err := strconv.ParseFloat(strings.ReplaceAll(parts[2], "_", ""), 64); err == nil && old == *value {
				return lines // written as the maker wrote it
			}
			lines[end] = parts[1] + decimal(*value) + parts[3]
			return lines
		}
		end++
	}
	if value == nil {
		return lines
	}
	// A new key goes below the last one of the table, a minimum below the header.
	if key != "min" {
		for k := end - 1; k > at; k-- {
			if strings.Contains(lines[k], "=") && !strings.HasPrefix(strings.TrimSpace(lines[k]), "#") {
				at = k
				break
			}
		}
	}
	return slices.Insert(lines, at+1, key+" = "+decimal(*value))
}

// inlineTable returns the line of name = { ... } in the group's table, or of group.name = { ... }; -1 if
// there is none.
func inlineTable(lines []string, group, name string) int {
	quoted := `["']?` + regexp.QuoteMeta(name) + `["']?`
	within := regexp.MustCompile(`^\s*` + quoted + `\s*=\s*\{`)
	dotted := regexp.MustCompile(`^\s*` + group + `\s*\.\s*` + quoted + `\s*=\s*\{`)
	table := ""
	for n, line := range lines {
		switch {
		case anyHeader.MatchString(line):
			table = strings.Trim(strings.TrimSpace(strings.SplitN(line, "#", 2)[0]), "[] ")
		case table == group && within.MatchString(line), table == "" && dotted.MatchString(line):
			return n
		}
	}
	return -1
}

// setInline changes a key of an inline table on one line.
func setInline(line, key string, value *float64) (string, bool) {
	open, shut := strings.Index(line, "{"), strings.LastIndex(line, "}")
	if open < 0 || shut < open || strings.ContainsAny(line[open:shut], `"'#`) {
		return line, false
	}
	var parts []string
	found := false
	for part := range strings.SplitSeq(line[open+1:shut], ",") {
		name, _, _ := strings.Cut(part, "=")
		switch {
		case strings.TrimSpace(name) == "":
		case strings.TrimSpace(name) == key:
			found = true
			if value != nil {
				parts = append(parts, key+" = "+decimal(*value))
			}
		default:
			parts = append(parts, strings.TrimSpace(part))
		}
	}
	if !found && value != nil {
		parts = append(parts, key+" = "+decimal(*value))
	}
	return line[:open] + "{ " + strings.Join(parts, ", ") + " }" + line[shut+1:], true
}

var useList = regexp.MustCompile(`(?s)(?m:^)\s*use\s*=\s*\[.*?\]`)

// withoutUse takes an ingredient out of the list of what may be used.
func withoutUse(text, name string) (string, error) {
	at := useList.FindStringIndex(text)
	if at == nil {
		return "", wrong(http.StatusConflict, "the list use is written in a way that the page does not change: mend it in the text")
	}
	entry := regexp.MustCompile(`["']` + regexp.QuoteMeta(name) + `["']\s*,?[ \t]*`)
	list := text[at[0]:at[1]]
	found := entry.FindStringIndex(list)
	if found == nil {
		return "", wrong(http.StatusConflict, "%q does not stand in the list use: mend it in the text", name)
	}
	return text[:at[0]] + list[:found[0]] + list[found[1]:] + text[at[1]:], nil
}

// Changed is a line that saving takes away ("-"), puts in ("+") or leaves (" ").
type Changed struct {
	Mark string `json:"mark"`
	No   int    `json:"no"`
	Text string `json:"text"`
}

// difference lists the lines that differ, with a line around them. The longest common part of both is kept.
func difference(before, after string) []Changed {
	a, b := strings.Split(before, "\n"), strings.Split(after, "\n")
	common := make([][]int, len(a)+1)
	for i := range common {
		common[i] = make([]int, len(b)+1)
	}
	for i := len(a) - 1; i >= 0; i-- {
		for j := len(b) - 1; j >= 0; j-- {
			if a[i] == b[j] {
				common[i][j] = common[i+1][j+1] + 1
			} else {
				common[i][j] = max(common[i+1][j], common[i][j+1])
			}
		}
	}
	var all []Changed
	i, j := 0, 0
	for i < len(a) || j < len(b) {
		switch {
		case i < len(a) && j < len(b) && a[i] == b[j]:
			all = append(all, Changed{" ", j + 1, b[j]})
			i, j = i+1, j+1
		case j == len(b) || i < len(a) && common[i+1][j] >= common[i][j+1]:
			all = append(all, Changed{"-", i + 1, a[i]})
			i++
		default:
			all = append(all, Changed{"+", j + 1, b[j]})
			j++
		}
	}
	near := []Changed{}
	for n, c := range all {
		touched := c.Mark != " " || n > 0 && all[n-1].Mark != " " || n+1 < len(all) && all[n+1].Mark != " "
		if touched {
			near = append(near, c)
		}
	}
	return near
}
