package convert

import (
	"go.lsp.dev/protocol"

	"pintle/lsp/ide/complete"
	"pintle/lsp/ide/navigate"
)

// The protocol's kinds are those of programming languages. What a kind of ours is shown
// as is a matter of its picture: a part is a class and a fit an object of it, a wire an
// interface that joins two.

var itemKinds = map[complete.ItemKind]protocol.CompletionItemKind{
	complete.ItemKeyword:   protocol.CompletionItemKindKeyword,
	complete.ItemClause:    protocol.CompletionItemKindProperty,
	complete.ItemWord:      protocol.CompletionItemKindOperator,
	complete.ItemThing:     protocol.CompletionItemKindVariable,
	complete.ItemPin:       protocol.CompletionItemKindField,
	complete.ItemQuantity:  protocol.CompletionItemKindValue,
	complete.ItemLogic:     protocol.CompletionItemKindFunction,
	complete.ItemMember:    protocol.CompletionItemKindEnumMember,
	complete.ItemPart:      protocol.CompletionItemKindClass,
	complete.ItemArgument:  protocol.CompletionItemKindTypeParameter,
	complete.ItemUnit:      protocol.CompletionItemKindUnit,
	complete.ItemColour:    protocol.CompletionItemKindColor,
	complete.ItemRule:      protocol.CompletionItemKindReference,
	complete.ItemFile:      protocol.CompletionItemKindFile,
	complete.ItemShortName: protocol.CompletionItemKindModule,
}

// ItemKind is what a completion item is shown as. A client that knows fewer kinds shows
// it as text.
func ItemKind(k complete.ItemKind) protocol.CompletionItemKind {
	if p, ok := itemKinds[k]; ok {
		return p
	}
	return protocol.CompletionItemKindText
}

var symbolKinds = map[navigate.SymbolKind]protocol.SymbolKind{
	navigate.SymbolThing:    protocol.SymbolKindVariable,
	navigate.SymbolFile:     protocol.SymbolKindModule,
	navigate.SymbolPart:     protocol.SymbolKindClass,
	navigate.SymbolFit:      protocol.SymbolKindObject,
	navigate.SymbolBench:    protocol.SymbolKindNamespace,
	navigate.SymbolPin:      protocol.SymbolKindField,
	navigate.SymbolWire:     protocol.SymbolKindInterface,
	navigate.SymbolQuantity: protocol.SymbolKindNumber,
	navigate.SymbolArgument: protocol.SymbolKindTypeParameter,
	navigate.SymbolLogic:    protocol.SymbolKindFunction,
	navigate.SymbolTable:    protocol.SymbolKindEnum,
	navigate.SymbolMember:   protocol.SymbolKindEnumMember,
	navigate.SymbolMove:     protocol.SymbolKindOperator,
	navigate.SymbolClaim:    protocol.SymbolKindConstant,
	navigate.SymbolDrive:    protocol.SymbolKindEvent,
	navigate.SymbolStep:     protocol.SymbolKindEvent,
	navigate.SymbolGroup:    protocol.SymbolKindNamespace,
}

// SymbolKind is what a symbol is shown as.
func SymbolKind(k navigate.SymbolKind) protocol.SymbolKind {
	if p, ok := symbolKinds[k]; ok {
		return p
	}
	return protocol.SymbolKindVariable
}
