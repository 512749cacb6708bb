import * as vscode from 'vscode';
import { LanguageClient } from 'vscode-languageclient/node';

let client: LanguageClient | undefined;

/** Starts the server; everything that it can do is negotiated by the client library. */
export async function activate(context: vscode.ExtensionContext): Promise<void> {
  context.subscriptions.push(
    vscode.commands.registerCommand('pintle.restart', restart),
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
