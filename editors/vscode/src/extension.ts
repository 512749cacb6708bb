import * as vscode from 'vscode';
import { LanguageClient } from 'vscode-languageclient/node';

let client: LanguageClient | undefined;

/** Starts the server; everything that it can do is negotiated by the client library. */
export async function activate(context: vscode.ExtensionContext): Promise<void> {
  context.subscriptions.push(
    vscode.commands.registerCommand('pintle.restart', restart),
    vscode.commands.registerCommand('pintle.question', question),
    vscode.commands.registerCommand('pintle.showTables', () => show('pintle.table', {})),
    vscode.commands.registerCommand('pintle.compareSaved', () => show('pintle.compare', {})),
    vscode.commands.registerCommand('pintle.compareCommit', () => show('pintle.compare', { since: 'HEAD' })),
    vscode.workspace.onDidChangeConfiguration((e) => {
      if (e.affectsConfiguration('pintle.server.path')) {
        void restart();
      }
    }),
  );
  await start();
}

export async function deactivate(): Promise<void> {
  await client?.stop();
}

async function start(): Promise<void> {
  const settings = vscode.workspace.getConfiguration('pintle');
  const command = settings.get<string>('server.path', 'pintle');
  client = new LanguageClient(
    'pintle',
    'Pintle',
    { command, args: ['serve'] },
    {
      // Designs that are in no file yet are checked too.
      documentSelector: [{ language: 'pintle' }],
      initializationOptions: { logLevel: settings.get<string>('logLevel') },
    },
  );
  try {
    await client.start();
  } catch {
    client = undefined; // the library has told why
  }
}

async function restart(): Promise<void> {
  await client?.dispose();
  client = undefined;
  await start();
}

/** Lets a person type a question; the server shows its answer beside the text. */
async function question(): Promise<void> {
  const editor = vscode.window.activeTextEditor;
  if (!editor) {
    return;
  }
  const selected = editor.document.getText(editor.selection);
  const typed = await vscode.window.showInputBox({
    title: 'Ask about this design',
    prompt: 'A condition, "when" and a condition, "volts at" a pin, or "current through" a thing',
    value: selected.includes('\n') ? '' : selected,
    ignoreFocusOut: true,
  });
  if (typed?.trim()) {
    await show('pintle.ask', { questions: [typed] }, editor);
  }
}

/** Runs a command of the server about a design; the server shows the answer. */
async function show(command: string, wanted: object, editor = vscode.window.activeTextEditor): Promise<void> {
  if (!client || !editor) {
    return;
  }
  const about = { uri: client.code2ProtocolConverter.asUri(editor.document.uri), ...wanted, show: true };
  try {
    await client.sendRequest('workspace/executeCommand', { command, arguments: [about] });
  } catch (err) {
    void vscode.window.showErrorMessage(err instanceof Error ? err.message : String(err));
  }
}
