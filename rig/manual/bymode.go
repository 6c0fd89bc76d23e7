package manual

import (
	"slices"
	"strings"
)

// byMode writes a table with a column of slot numbers for each mode as one after another.
func byMode(cells []string, roles []role, rows []row) (out []line) {
	var modes []int
	for i, r := range roles {
		if r == modeRole || r == slotRole {
			modes = append(modes, i)
		}
	}
	if len(modes) < 2 {
		return nil
	}
	if own := slices.Index(roles, slotRole); own >= 0 && countRole(cells, slotRole) == 1 && len(modes) > 2 && !wordy(rows, roles) {
		modes = slices.DeleteFunc(modes, func(i int) bool { return i == own }) // it counts rows
		roles = slices.Clone(roles)
		roles[own] = partRole
	}
	if slices.Index(roles, slotRole) >= 0 && countRole(cells, slotRole) == 1 && wordy(rows, roles) {
		return byColumn(cells, roles, rows)
	}
	rest := slices.Clone(roles)
	for _, m := range modes {
		rest[m] = slotRole
	}
	for _, m := range modes {
		name := cells[m]
		if n := strings.ToLower(name); shortCount.MatchString(n) {
			name = strings.TrimSuffix(n, "k") + " channels"
		}
		if strings.Contains(strings.ToLower(name), "bit") {
			name = "mode " + name
		}
		out = append(out, line{rows0(rows), name})
		used := ""
		for _, r := range rows {
			part := slices.Clone(r.cells)
			own, any := "", false
			for _, k := range modes {
				if k < len(part) {
					any = any || part[k] != ""
					if k == m {
						own = part[k]
					}
					part[k] = ""
				}
			}
			if any {
				used = own
			}
			if slotCell(used) == 0 { // not in this mode
				continue
			}
			if any {
				part[m] = own
			}
			one := slices.Clone(rest)
			for _, k := range modes {
				if k != m {
					one[k] = noRole
				}
			}
			out = append(out, line{r.number, written(part, one, nil)})
		}
	}
	return out
}

// wordy tells whether the columns of modes hold what slots do, and not their numbers.
func wordy(rows []row, roles []role) bool {
	words, numbers := 0, 0
	for _, r := range rows {
		for i, c := range r.cells[:min(len(r.cells), len(roles))] {
			switch {
			case roles[i] != modeRole || c == "" || c == "-":
			case slotCell(c) > 0:
				numbers++
			default:
				words++
			}
		}
	}
	return words > numbers
}

// byColumn writes a table with a slot column, and one for each mode with what slots do in
// it.
func byColumn(cells []string, roles []role, rows []row) (out []line) {
	slot := slices.Index(roles, slotRole)
	for m, r := range roles {
		if r != modeRole {
			continue
		}
		out = append(out, line{rows0(rows), cells[m]})
		for _, r := range rows {
			if m >= len(r.cells) || slot >= len(r.cells) || strings.Trim(r.cells[m], "-/ .x") == "" {
				continue
			}
			out = append(out, line{r.number, written([]string{r.cells[slot], r.cells[m]}, []role{slotRole, textRole}, nil)})
		}
	}
	return out
}
