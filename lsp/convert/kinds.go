package convert

import (
	"go.lsp.dev/protocol"

	"pintle/lsp/ide"
)

// The protocol's kinds are those of programming languages. What a kind of ours is shown
// as is a matter of its picture: a part is a class and a fit an object of it, a wire an
// interface that joins two.

var itemKinds = map[ide.ItemKind]protocol.CompletionItemKind{
	ide.ItemKeyword:   protocol.CompletionItemKindKeyword,
	ide.ItemClause:    protocol.CompletionItemKindProperty,
	ide.ItemWord:      protocol.CompletionItemKindOperator,
	ide.ItemThing:     protocol.CompletionItemKindVariable,
	ide.ItemPin:       protocol.CompletionItemKindField,
	ide.ItemQuantity:  protocol.CompletionItemKindValue,
	ide.ItemLogic:     protocol.CompletionItemKindFunction,
	ide.ItemMember:    protocol.CompletionItemKindEnumMember,
	ide.ItemPart:      protocol.CompletionItemKindClass,
	ide.ItemArgument:  protocol.CompletionItemKindTypeParameter,
	ide.ItemUnit:      protocol.CompletionItemKindUnit,
	ide.ItemColour:    protocol.CompletionItemKindColor,
	ide.ItemRule:      protocol.CompletionItemKindReference,
	ide.ItemFile:      protocol.CompletionItemKindFile,
	ide.ItemShortName: protocol.CompletionItemKindModule,
}

// ItemKind is what a completion item is shown as. A client that knows fewer kinds shows
// it as text.
func ItemKind(k ide.ItemKind) protocol.CompletionItemKind {
	if p, ok := itemKinds[k]; ok {
		return p
	}
	return protocol.CompletionItemKindText
}

var symbolKinds = map[ide.SymbolKind]protocol.SymbolKind{
	ide.SymbolThing:    protocol.SymbolKindVariable,
	ide.SymbolFile:     protocol.SymbolKindModule,
	ide.SymbolPart:     protocol.SymbolKindClass,
	ide.SymbolFit:      protocol.SymbolKindObject,
	ide.SymbolBench:    protocol.SymbolKindNamespace,
	ide.SymbolPin:      protocol.SymbolKindField,
	ide.SymbolWire:     protocol.SymbolKindInterface,
	ide.SymbolQuantity: protocol.SymbolKindNumber,
	ide.SymbolArgument: protocol.SymbolKindTypeParameter,
	ide.SymbolLogic:    protocol.SymbolKindFunction,
	ide.SymbolTable:    protocol.SymbolKindEnum,
	ide.SymbolMember:   protocol.SymbolKindEnumMember,
	ide.SymbolMove:     protocol.SymbolKindOperator,
	ide.SymbolClaim:    protocol.SymbolKindConstant,
	ide.SymbolDrive:    protocol.SymbolKindEvent,
	ide.SymbolStep:     protocol.SymbolKindEvent,
	ide.SymbolGroup:    protocol.SymbolKindNamespace,
}

// SymbolKind is what a symbol is shown as.
func SymbolKind(k ide.SymbolKind) protocol.SymbolKind {
	if p, ok := symbolKinds[k]; ok {
		return p
	}
	return protocol.SymbolKindVariable
}
