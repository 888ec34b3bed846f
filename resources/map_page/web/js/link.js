// The web channel to the desk: a kind and its JSON, each way.

export class Link {
  #bridge;

  constructor(bridge) {
    this.#bridge = bridge;
  }

  send(kind, ...args) {
    this.#bridge.fromPage(kind, JSON.stringify(args));
  }

  serve(handlers) {
    this.#bridge.toPage.connect((kind, json) => {
      const handler = handlers[kind];
      if (handler === undefined) throw new Error(`no handler for ${kind}`);
      handler(JSON.parse(json));
    });
  }
}

export function openLink() {
  return new Promise((resolve) => {
    new QWebChannel(qt.webChannelTransport, (channel) => resolve(new Link(channel.objects.bridge)));
  });
}
