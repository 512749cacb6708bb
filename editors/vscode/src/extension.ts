import * as vscode from 'vscode';
import { LanguageClient } from 'vscode-languageclient/node';

let client: LanguageClient | undefined;

/** Starts the server; everything that it can do is negotiated by the client library. */
export async function activate(context: vscode.ExtensionContext): Promise<void> {
  context.subscriptions.push(
    vscode.commands.registerCommand('pintle.restart', restart),
    vscode.commands.registerCommand('pintle.question', question),
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
  if (!client || !editor) {
    return;
  }
  const selected = editor.document.getText(editor.selection);
  const typed = await vscode.window.showInputBox({
    title: 'Ask about this design',
    prompt: 'A condition, "when" and a condition, "volts at" a pin, or "current through" a thing',
    value: selected.includes('\n') ? '' : selected,
    ignoreFocusOut: true,
  });
  if (!typed?.trim()) {
    return;
  }
  const about = { uri: client.code2ProtocolConverter.asUri(editor.document.uri), questions: [typed], show: true };
  try {
    await client.sendRequest('workspace/executeCommand', { command: 'pintle.ask', arguments: [about] });
  } catch (err) {
    void vscode.window.showErrorMessage(err instanceof Error ? err.message : String(err));
  }
}
