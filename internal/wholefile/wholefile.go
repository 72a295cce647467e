// Package wholefile replaces files in one step: readers see the old file or the new one, never a part.
package wholefile
